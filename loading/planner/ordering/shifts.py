"""How many vaults a plan sets aside, and how many any order of its pulls would have to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from loading.planner.ordering.candidates import as_it_stands, by_stop
from loading.planner.plan import Step
from loading.planner.pulls import YardBlocked, retrieve_groups
from loading.planner.request import LoadRequest


@dataclass(frozen=True, slots=True)
class Shifts:
    """Vaults that a plan sets aside before its last pull; no order needs fewer than `bound`."""

    planned: int
    bound: int

    @property
    def proved(self) -> bool:
        """Whether no order that the stops allow needs fewer."""
        return self.planned <= self.bound


def shifts_of(request: LoadRequest, steps: Sequence[Step]) -> Shifts | None:
    """What the steps after the progress set aside, beside what any order would have to.

    None where they pull nothing, or where the lanes cannot be opened as they stand.
    """
    yard, pulled = as_it_stands(request)
    done = len(request.progress.steps) if request.progress else 0
    left = steps[done:]
    pulls = [n for n, step in enumerate(left) if step.do == "pull" and step.vault is not None]
    codes = [left[n].vault or "" for n in pulls]
    if not pulls or set(codes) & set(pulled) or not set(codes) <= set(yard.standing()):
        return None
    planned = sum(step.do == "move" for step in left[: pulls[-1]])
    try:
        least = retrieve_groups(yard, by_stop(request, codes))
    except YardBlocked:
        return None
    return Shifts(planned, min(planned, least.bound))
