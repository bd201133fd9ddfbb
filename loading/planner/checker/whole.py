"""R1: every piece that leaves is placed or left off with a reason, once; nothing else appears."""

from collections import Counter
from collections.abc import Iterator

from loading.planner.checker.report import Broken
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest


def broken(request: LoadRequest, plan: LoadPlan) -> Iterator[Broken]:
    times = Counter([p.tag for p in plan.placements] + [left.tag for left in plan.left_off])
    for item in request.items:
        wanted = 1 if item.leaves else 0
        if times[item.tag] != wanted:
            kind = "" if item.leaves else ", though it does not leave"
            yield Broken("R1", item.tag, f"{item.tag} appears {times[item.tag]} times{kind}")
    for tag in times:
        if not request.has_item(tag):
            yield Broken("R1", tag, f"{tag} is not in the request")
    for left in plan.left_off:
        if not left.reason.strip():
            yield Broken("R1", left.tag, f"{left.tag} is left off without a reason")
    numbers = Counter(fill.fill for fill in plan.fills)
    for number, count in numbers.items():
        if count > 1:
            yield Broken("R1", f"fill {number}", f"fill {number} is there {count} times")
    yield from _steps(request, plan)


def _steps(request: LoadRequest, plan: LoadPlan) -> Iterator[Broken]:
    """Steps name only what has a place; those of the progress are facts."""
    begun = request.progress.steps if request.progress else ()
    placed = {p.tag for p in plan.placements}
    fills: set[int | None] = {fill.fill for fill in plan.fills}
    fills -= {step.fill for step in begun}
    for n, step in enumerate(plan.steps[len(begun) :], len(begun) + 1):
        if step.do == "load" and step.tag not in placed:
            yield Broken("R1", f"step {n}", f"step {n} loads {step.tag}, which has no place")
        if step.do == "fill":
            if step.fill not in fills:
                message = f"step {n} puts in fill {step.fill}, which is not there or in already"
                yield Broken("R1", f"step {n}", message)
            fills.discard(step.fill)
