"""Which plan is taken: a worse one never replaces a better one that still holds."""

from collections.abc import Mapping
from dataclasses import dataclass

from loading.planner.checker import check_plan
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest


@dataclass(frozen=True, slots=True)
class Verdict:
    """`takes_new`: the new plan is taken. `former_holds`: the former breaks no rule."""

    takes_new: bool
    former_holds: bool


def verdict(request: LoadRequest, former: LoadPlan, new: Mapping[str, object] | None) -> Verdict:
    """Choose between what remains of the former plan and a new one, both for `request`.

    The former is better when it loads as many pieces and is not longer. Of the new one the figures
    are enough: the checker has passed it, or there is none.
    """
    report = check_plan(request, former)
    holds = not report.broken
    better = new is not None and _worth(new) > _worth(report.figures)
    return Verdict(takes_new=new is not None and (not holds or better), former_holds=holds)


def _worth(figures: Mapping[str, object]) -> tuple[int, int]:
    """More pieces loaded, then a shorter load."""
    loaded, length_mm = figures["loaded"], figures["length_mm"]
    assert isinstance(loaded, int)
    assert isinstance(length_mm, int | float)
    return loaded, -round(length_mm)
