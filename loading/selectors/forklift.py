"""The one forklift of a warehouse over a day: all docks' plans, and vaults from outside."""

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TypeVar

from loading.models import LoadPlan
from loading.planner.dockside import (
    Call,
    Evening,
    Served,
    calls_of,
    evening_before,
    inbound_call,
    serve,
    without,
)
from loading.planner.plan import Step
from loading.planner.pulls import Yard, lane_to_store
from loading.selectors.kept import Kept
from loading.selectors.plans import plan_of
from loading.selectors.pull_sheet import PullLine, pull_sheet
from loading.selectors.shared_lanes import SharedLanes

EVENING_S = 3600  # of the forklift's evening that may go into the next day
LANE_STEPS = ("move", "pull", "store")

# A load's reference, what is done there, with which vault.
Done = tuple[str, str, str]
Work = TypeVar("Work", Call, Step)


@dataclass(frozen=True, slots=True)
class Inbound:
    """A vault from outside; `key` names its call."""

    key: str
    vault: str
    expected_at: datetime


@dataclass(frozen=True, slots=True)
class ForkliftDay:
    """One forklift for all docks: the calls in order, the delays, what to pull the evening before.

    Seconds count from `begins_at`. `saved_s` is by how much the evening's pulls lessen the delays
    of the day in all.
    """

    begins_at: datetime
    served: tuple[Served, ...]
    latest_s: int
    evening: tuple[Call, ...]
    saved_s: int

    @property
    def latest_minutes(self) -> int:
        return round(self.latest_s / 60)

    @property
    def saved_minutes(self) -> int:
        return round(self.saved_s / 60)

    def begins(self, served: Served) -> datetime:
        return self.begins_at + timedelta(seconds=served.begins_s)


_calls_kept: "Kept[tuple[Call, ...]]" = Kept()
_days_kept: "Kept[Evening]" = Kept()


def forklift_day(
    *,
    plans: Sequence[tuple[LoadPlan, datetime]],
    inbound: Sequence[Inbound] = (),
    done: Collection[Done] = (),
    to_do: Mapping[str, Collection[tuple[str, str]]] | None = None,
    shared: SharedLanes | None = None,
    evening_s: int = EVENING_S,
) -> ForkliftDay | None:
    """The forklift's day for plans with the times at which their jobs begin; None for no calls.

    `to_do` gives, by load, what is still to be done with which vault, where people work by the
    plan; elsewhere that follows from what is `done`.
    Within a lane each plan keeps its own order, and in a lane of `shared` the loads keep theirs;
    usual times for each step, not this crew's.
    """
    times = [begins for _, begins in plans] + [one.expected_at for one in inbound]
    if not times:
        return None
    first = min(times)
    calls: list[Call] = []
    for plan, begins in plans:
        calls += _calls(plan, int((begins - first).total_seconds()))
    calls = _in_shared_order(calls, [plan for plan, _ in plans], shared)
    for one in inbound:
        expected_s = int((one.expected_at - first).total_seconds())
        calls.append(inbound_call(one.key, one.vault, expected_s))
    settled = _settled(calls, [plan for plan, _ in plans], done, to_do or {})
    left = without(calls, {call.name for call in settled})
    for plan, _ in plans:
        left = _behind_what_is_in_hand(left, plan)
    if not left:
        return None
    spots = {plan.load.dock.name: plan_of(plan=plan)[0].dock.vault_spots for plan, _ in plans}
    evening = _days_kept.of(
        (left, evening_s, tuple(sorted(spots.items()))),
        lambda: _evening_and_day(left, evening_s, spots),
    )
    shift = evening.shift
    return ForkliftDay(first, shift.served, shift.latest_s, evening.calls, evening.saved_s)


def _evening_and_day(calls: Sequence[Call], evening_s: int, spots: Mapping[str, int]) -> Evening:
    if evening_s:
        return evening_before(calls, evening_s=evening_s, spots=spots)
    return Evening((), serve(calls), 0)


def line_of(call: Call, plans: Sequence[LoadPlan]) -> PullLine | None:
    """The line of the pull sheet that a call stands for; None for a vault from outside."""
    load, _, step = call.name.rpartition(":")
    plan = next((plan for plan in plans if plan.load.reference == load), None)
    if plan is None:
        return None
    return next((line for line in pull_sheet(plan=plan).lines if str(line.step) == step), None)


def inbound_lanes(
    *, yard: Yard, plans: Sequence[LoadPlan], inbound: Sequence[Inbound], done: Collection[Done]
) -> dict[str, str | None]:
    """Into which lane each vault from outside goes, by its key, so that it bars nothing to come.

    None where every lane with room would bar a vault that is to be pulled.
    """
    to_come = steps_in_lanes(plans=plans, done=done)
    lanes: dict[str, str | None] = {}
    for one in inbound:
        lane = lane_to_store(yard, one.vault, to_come)
        lanes[one.key] = lane
        if lane is not None:
            yard = yard.after((Step("store", vault=one.vault, lane=lane),))
    return lanes


def steps_in_lanes(*, plans: Sequence[LoadPlan], done: Collection[Done]) -> list[Step]:
    """What these plans still do in the lanes, one plan after the other."""
    return [step for plan in plans for step in _steps_left(plan, done)]


def _steps_left(plan: LoadPlan, done: Collection[Done]) -> list[Step]:
    _, planned = plan_of(plan=plan)
    load = plan.load.reference
    steps = [step for step in planned.steps if step.do in LANE_STEPS]
    gone = _those_done(steps, done, lambda step: (load, step.do, step.vault or ""))
    return [step for step in steps if not any(step is one for one in gone)]


def _calls(plan: LoadPlan, begins_s: int) -> tuple[Call, ...]:
    load = plan.load
    return _calls_kept.of(
        (plan.run_id, load.dock.name, begins_s),
        lambda: calls_of(
            *plan_of(plan=plan), load=load.reference, dock=load.dock.name, begins_s=begins_s
        ),
    )


def _settled(
    calls: Sequence[Call],
    plans: Sequence[LoadPlan],
    done: Collection[Done],
    to_do: Mapping[str, Collection[tuple[str, str]]],
) -> list[Call]:
    """The calls that nobody has to answer any more."""
    found = []
    for plan in plans:
        load = plan.load.reference
        own = [call for call in calls if _key(call)[0] == load]
        if load in to_do:
            # What is to be done twice and was done once is left as it comes last.
            left = Counter(to_do[load])
            for call in reversed(own):
                left[call.does, call.vault] -= 1
                found += [call] if left[call.does, call.vault] < 0 else []
        else:
            found += _those_done(own, done, _key)
            found += [one for one in own if _is_begun(one, plan)]
    return found


def _is_begun(call: Call, plan: LoadPlan) -> bool:
    """Whether the plan counts a call of its own as done, though it may only be in hand."""
    progress = plan_of(plan=plan)[0].progress
    return progress is not None and int(call.name.rpartition(":")[2]) <= len(progress.steps)


def _behind_what_is_in_hand(calls: Sequence[Call], plan: LoadPlan) -> tuple[Call, ...]:
    """The plan's times begin where its progress ends: what of that is still in hand comes first."""
    load = plan.load.reference
    own = {call.name for call in calls if _key(call)[0] == load}
    in_hand = {call.name for call in calls if call.name in own and _is_begun(call, plan)}
    later_s = sum(call.takes_s for call in calls if call.name in in_hand)
    return tuple(
        replace(
            call,
            ready_s=call.ready_s + (0 if call.early else later_s),
            due_s=call.due_s + later_s,
        )
        if call.name in own - in_hand
        else call
        for call in calls
    )


def _those_done(
    todo: Sequence[Work], done: Collection[Done], key: Callable[[Work], Done]
) -> list[Work]:
    """As many of each kind as were done, the first first: a vault may be set aside twice."""
    counted = Counter(done)
    found = []
    for one in todo:
        if counted[key(one)] > 0:
            counted[key(one)] -= 1
            found.append(one)
    return found


def _key(call: Call) -> Done:
    return call.name.rpartition(":")[0], call.does, call.vault


def _in_shared_order(
    calls: Sequence[Call], plans: Sequence[LoadPlan], shared: SharedLanes | None
) -> list[Call]:
    """What a load does in a shared lane waits for the loads that go there before it."""
    waits: dict[str, set[str]] = {}
    for lane in shared.lanes if shared else ():
        before: list[str] = []
        for load in lane.loads:
            here = [call.name for call in calls if _is_in(call, load, lane.lane, plans)]
            if here and before:
                waits.setdefault(here[0], set()).add(before[-1])
            before = here or before
    return [
        replace(call, after=tuple(dict.fromkeys((*call.after, *sorted(waits.get(call.name, ()))))))
        for call in calls
    ]


def _is_in(call: Call, load: str, lane: str, plans: Sequence[LoadPlan]) -> bool:
    """Whether a call is of that load and takes a vault out of the lane or puts one there."""
    if _key(call)[0] != load:
        return False
    line = line_of(call, plans)
    places = () if line is None else (line.at, line.to)
    return any(place is not None and place.lane == lane for place in places)
