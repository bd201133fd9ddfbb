"""What the progress breaks by itself: a fact that makes no plan invalid, but may not get worse."""

from collections.abc import Callable, Iterable

from loading.planner.checker.layout import Layout
from loading.planner.checker.progress import taken_out
from loading.planner.checker.report import Broken
from loading.planner.plan import LoadPlan, Placement
from loading.planner.request import LoadRequest

# What is overlooked when amounts are compared: a thousandth of a bottom, 50 g (the slack of R5
# and of the payload), 1 mm; nothing where there is no amount.
OVERLOOKED = {"R4": 1.0, "R5": 0.05, "R12": 0.05, "R14": 1.0}

Amounts = dict[tuple[str, str], float]
StaticRules = Callable[[Layout], Iterable[Broken]]


def given_amounts(request: LoadRequest, plan: LoadPlan, rules: StaticRules) -> Amounts:
    """What is broken both as the truck stood before the plan and without what it takes out, at
    its smaller amount. Side travel that a fill can still cure is not among it."""
    progress = request.progress
    if progress is None or not progress.placements:
        return {}
    gone = taken_out(request, plan)
    kept = tuple(place for place in progress.placements if place.tag not in gone)
    before = _amounts(request, progress.placements, rules)
    if not gone:
        return before
    after = _amounts(request, kept, rules)
    return {key: min(before[key], after[key]) for key in before.keys() & after.keys()}


def is_given(fault: Broken, given: Amounts) -> bool:
    before = given.get((fault.rule, fault.subject))
    return before is not None and fault.amount <= before + OVERLOOKED.get(fault.rule, 0.0)


def _amounts(
    request: LoadRequest, placements: tuple[Placement, ...], rules: StaticRules
) -> Amounts:
    fills = request.progress.fills if request.progress else ()
    tags = frozenset(place.tag for place in placements)
    layout = Layout(request, placements, fills, given=tags)
    curable = _curable(layout)
    return {
        (fault.rule, fault.subject): fault.amount
        for fault in rules(layout)
        if fault.subject not in curable
    }


def _curable(layout: Layout) -> set[str]:
    """Side travels that a fill can still end: the tier is open and the way to the piece free."""
    steps = layout.request.progress.steps if layout.request.progress else ()
    shut = {step.tier for step in steps if step.do == "close"}
    pieces = [body.index for body in layout.pieces.values()]
    return {
        f"{tag} side"
        for tag, body in layout.pieces.items()
        if layout.placements[tag].tier not in shut and not layout.barring[body.index][pieces].any()
    }
