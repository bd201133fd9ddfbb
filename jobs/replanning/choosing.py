"""Which plan is taken: a worse one never replaces a better one that still holds."""

from collections.abc import Collection
from dataclasses import dataclass

from loading.planner.checker import Report, check_plan
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest


@dataclass(frozen=True, slots=True)
class Verdict:
    """`takes_new`: the new plan is taken. `former_holds`: the former breaks no rule."""

    takes_new: bool
    former_holds: bool


def verdict(
    request: LoadRequest, former: LoadPlan, new: LoadPlan | None, *, keeps: Collection[str] = ()
) -> Verdict:
    """Choose between what remains of the former plan and a new one, both for `request`.

    The former is better when it loads as many pieces and is not longer. `keeps`: pieces that both
    must have a place for, or they do not hold (those that stand in the truck).
    """
    old_report = check_plan(request, former)
    holds = not old_report.broken and set(keeps) <= {place.tag for place in former.placements}
    if new is None:
        return Verdict(takes_new=False, former_holds=holds)
    new_report = check_plan(request, new)
    better = _worth(new_report) > _worth(old_report)
    return Verdict(takes_new=not new_report.broken and (not holds or better), former_holds=holds)


def _worth(report: Report) -> tuple[int, int]:
    """More pieces loaded, then a shorter load."""
    loaded, length_mm = report.figures["loaded"], report.figures["length_mm"]
    assert isinstance(loaded, int)
    assert isinstance(length_mm, int | float)
    return loaded, -round(length_mm)
