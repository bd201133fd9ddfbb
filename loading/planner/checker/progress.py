"""R15: the plan goes on from what has been done, and changes none of it."""

from collections.abc import Iterator

from loading.planner.checker.report import Broken
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest


def taken_out(request: LoadRequest, plan: LoadPlan) -> frozenset[str]:
    """The tags of pieces that the plan takes out of the truck."""
    begun = len(request.progress.steps) if request.progress else 0
    later = plan.steps[begun:]
    return frozenset(step.tag for step in later if step.do == "take_out" and step.tag is not None)


def broken(request: LoadRequest, plan: LoadPlan) -> Iterator[Broken]:
    progress = request.progress
    if progress is None:
        return
    if plan.steps[: len(progress.steps)] != progress.steps:
        yield Broken("R15", "steps", "the plan does not begin with the steps already done")
    free = taken_out(request, plan)
    now = {place.tag: place for place in plan.placements}
    for place in progress.placements:
        if place.tag not in free and now.get(place.tag) != place:
            message = f"{place.tag} has been moved after it was loaded"
            yield Broken("R15", place.tag, message)
    kept = {fill.fill: fill for fill in plan.fills}
    for fill in progress.fills:
        if kept.get(fill.fill) != fill:
            message = f"fill {fill.fill} has been changed after it was put in"
            yield Broken("R15", f"fill {fill.fill}", message)
