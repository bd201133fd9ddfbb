"""Which plan is taken: a worse one never replaces a better one that still holds."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from loading.planner.checker import check_plan
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest

LOOSER: Final = 0.01
"""Space use that a new plan may lose before it is looked at again."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """`takes_new`: the new plan is taken. `former_holds`: the former breaks no rule.

    `is_hasty`: what is taken leaves pieces off or makes clearly less of the truck, or there is
    nothing to take; a longer search may find better.
    """

    takes_new: bool
    former_holds: bool
    is_hasty: bool


def verdict(request: LoadRequest, former: LoadPlan, new: Mapping[str, object] | None) -> Verdict:
    """Choose between what remains of the former plan and a new one, both for `request`.

    The former is better when it loads as many pieces and is not longer. Of the new one the figures
    are enough: the checker has passed it, or there is none.
    """
    report = check_plan(request, former)
    holds = not report.broken
    takes_new = new is not None and (not holds or _worth(new) > _worth(report.figures))
    hasty = not holds
    if takes_new and new is not None:
        hasty = bool(new["left_off"]) or _space_use(report.figures) - _space_use(new) > LOOSER
    return Verdict(takes_new, holds, hasty)


def _worth(figures: Mapping[str, object]) -> tuple[int, int]:
    """More pieces loaded, then a shorter load."""
    loaded, length_mm = figures["loaded"], figures["length_mm"]
    assert isinstance(loaded, int)
    assert isinstance(length_mm, int | float)
    return loaded, -round(length_mm)


def _space_use(figures: Mapping[str, object]) -> float:
    use = figures["space_use"]
    assert isinstance(use, int | float)
    return use
