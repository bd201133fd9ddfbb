"""Which plan is taken: a worse one never replaces a better one that still holds."""

from collections.abc import Mapping
from dataclasses import dataclass

from loading.planner.checker import check_plan
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest


@dataclass(frozen=True, slots=True)
class Verdict:
    """`takes_new`: the new plan is taken. `former_holds`: the former breaks no rule.

    `is_hasty`: what is taken was made in a hurry or leaves pieces off, or there is nothing to take;
    a longer search may find better. Each replan loses a little, and there are many in a day.
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
    is_hasty = takes_new or not holds or bool(report.figures["left_off"])
    return Verdict(takes_new, holds, is_hasty)


def _worth(figures: Mapping[str, object]) -> tuple[int, int]:
    """More pieces loaded, then a shorter load."""
    loaded, length_mm = figures["loaded"], figures["length_mm"]
    assert isinstance(loaded, int)
    assert isinstance(length_mm, int | float)
    return loaded, -round(length_mm)
