"""The plans of one day that pull out of the same warehouse, and the order in which they do."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from loading.models import LoadPlan
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.pulls import (
    Clash,
    SharedLane,
    Wanted,
    Yard,
    YardBlocked,
    YardError,
    clashes,
    shared_day,
)
from loading.selectors.dock import warehouse_yard
from loading.selectors.plans import plan_of


@dataclass(frozen=True, slots=True)
class SharedLanes:
    """Loads in the order in which they should pull, and the lanes that several need.

    `clashes` are the steps of the plans as they stand that then cannot be done; `blocked` says why
    no order gets all out.
    """

    order: tuple[str, ...]
    lanes: tuple[SharedLane, ...]
    clashes: tuple[Clash, ...]
    blocked: str | None = None


def shared_lanes(
    *, plans: Sequence[LoadPlan], before: Collection[tuple[str, str]] = ()
) -> SharedLanes | None:
    """Order the plans of a day in one branch; None if they have no lane in common.

    The lanes are as they stand now, so what has been pulled already does not count. `before` are
    pairs of loads of which the first pulls first, unless the first was planned for the lanes that
    the second leaves.
    """
    if len(plans) < 2:
        return None
    yard = warehouse_yard(branch=plans[0].load.branch)
    read = {plan.load.reference: plan_of(plan=plan) for plan in plans}
    planned_so = {
        (other, load) for load, (request, _) in read.items() for other in request.after_loads
    }
    wished = {(first, then) for first, then in before if (then, first) not in planned_so}
    return _shared(
        yard, {load: planned for load, (_, planned) in read.items()}, planned_so | wished
    )


def _shared(
    yard: Yard, plans: Mapping[str, PlannedLoad], before: Collection[tuple[str, str]]
) -> SharedLanes | None:
    standing = {vault.code for lane in yard.lanes for vault in lane.vaults}
    wanted = [Wanted(load, _still_wanted(planned, standing)) for load, planned in plans.items()]
    as_given = [(load, planned.steps) for load, planned in plans.items()]
    if not _meet(yard, wanted) and not clashes(yard, as_given):
        return None
    try:
        pulling = [one for one in wanted if one.groups]
        loads = {one.load for one in pulling}
        day = shared_day(yard, pulling, before=[pair for pair in before if loads.issuperset(pair)])
    except (YardBlocked, YardError) as error:
        return SharedLanes((), (), (), str(error))
    found = clashes(yard, [(load, plans[load].steps) for load in day.order])
    return SharedLanes(day.order, day.lanes, found)


def _meet(yard: Yard, wanted: Sequence[Wanted]) -> bool:
    """Whether a lane holds vaults that two loads want."""
    lanes = [{vault.code for vault in lane.vaults} for lane in yard.lanes]
    return any(sum(bool(codes & set(one.codes)) for one in wanted) > 1 for codes in lanes)


def _still_wanted(planned: PlannedLoad, standing: set[str]) -> tuple[tuple[str, ...], ...]:
    pulls = (step.vault for step in planned.steps if step.do == "pull" and step.vault is not None)
    return tuple((code,) for code in dict.fromkeys(pulls) if code in standing)
