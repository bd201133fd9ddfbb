"""One forklift and its certified operator for all docks: who is served when, what can come early.

Pulls, moves, returns and inbound vaults compete. Each has a time at which its dock needs it done.
The rule is that of Jackson (1955), earliest due date first, with due dates pulled forward along
what must be done before; then single calls are put elsewhere as long as that helps. How good it is
shows against the bound of the same rule when calls may be interrupted (Horn 1974), which no order
beats.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace

from loading.planner.dockside.pace import DOES, FORKLIFT, Pace, spans
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest

TRIES = 100  # orders tried beyond the rule's, fewer where a day has hundreds of calls
TRIES_WORK = 400_000
INBOUND = "inbound"
INBOUND_WAIT_S = 900  # that a delivery may wait for the forklift; common practice, no source


@dataclass(frozen=True, slots=True)
class Call:
    """Something for the forklift. Times are seconds from the start of the shift.

    `ready_s` is when it can begin at the earliest, `due_s` when it should be done; `after` names
    calls that must be done before. `early` says that it can be done the evening before.
    """

    name: str
    dock: str
    does: str
    vault: str
    takes_s: int
    ready_s: int
    due_s: int
    after: tuple[str, ...] = ()
    early: bool = False


@dataclass(frozen=True, slots=True)
class Served:
    """A call with the time at which the forklift begins it."""

    call: Call
    begins_s: int

    @property
    def ends_s(self) -> int:
        return self.begins_s + self.call.takes_s

    @property
    def late_s(self) -> int:
        return max(0, self.ends_s - self.call.due_s)


@dataclass(frozen=True, slots=True)
class Shift:
    """Calls in the order in which they are served; the largest delay is never below `bound_s`."""

    served: tuple[Served, ...]
    bound_s: int

    @property
    def latest_s(self) -> int:
        return max((one.late_s for one in self.served), default=0)

    @property
    def waiting_s(self) -> int:
        """Delays of all calls together."""
        return sum(one.late_s for one in self.served)

    @property
    def proved(self) -> bool:
        return self.latest_s == self.bound_s


@dataclass(frozen=True, slots=True)
class Evening:
    """What to pull the evening before, and the shift that is left; `saved_s` of its delays."""

    calls: tuple[Call, ...]
    shift: Shift
    saved_s: int


def calls_of(
    request: LoadRequest,
    plan: LoadPlan,
    *,
    load: str,
    dock: str,
    begins_s: int = 0,
    pace: Pace | None = None,
) -> tuple[Call, ...]:
    """The forklift's steps of a plan that begins at that time, due when the dock needs them.

    A step is due when it would end if the forklift served this dock alone. A pull can come as early
    as a spot is free; the first ones, and the moves before them, the evening before. Steps of the
    progress are calls too, due at once one after the other: some may only be in hand, and who asks
    knows which.
    """
    pace = pace or Pace()
    times = spans(request, plan, pace)
    done = len(request.progress.steps) if request.progress else 0
    calls: list[Call] = []
    lanes: str | None = None
    pulled = in_hand_s = 0
    for n, step in enumerate(plan.steps):
        if DOES.get(step.do) != FORKLIFT:
            continue
        begun = n < done
        in_hand_s += pace.seconds_of(step) if begun else 0
        changes_lanes = step.do != "clear"
        pulled += step.do == "pull"
        early = step.do in ("move", "pull") and pulled <= request.dock.vault_spots
        name = f"{load}:{n + 1}"
        call = Call(
            name=name,
            dock=dock,
            does=step.do,
            vault=step.vault or "",
            takes_s=pace.seconds_of(step),
            ready_s=0 if early or begun else begins_s + times[n].begins_s,
            due_s=begins_s + (in_hand_s if begun else times[n].ends_s),
            after=(lanes,) if changes_lanes and lanes is not None else (),
            early=early,
        )
        lanes = name if changes_lanes else lanes
        calls.append(call)
    return tuple(calls)


def inbound_call(name: str, vault: str, expected_s: int, *, pace: Pace | None = None) -> Call:
    """A vault from outside: it comes at that time, and who brought it waits for so long at most."""
    takes_s = (pace or Pace()).seconds.get("store", 0)
    return Call(
        name, "", INBOUND, vault, takes_s, expected_s, expected_s + takes_s + INBOUND_WAIT_S
    )


def without(calls: Sequence[Call], gone: AbstractSet[str]) -> tuple[Call, ...]:
    """The calls but those of these names, for which no other waits any more."""
    return tuple(
        replace(call, after=tuple(name for name in call.after if name not in gone))
        for call in calls
        if call.name not in gone
    )


def serve(calls: Sequence[Call]) -> Shift:
    """An order for one forklift with the largest delay as small as the search finds it, then the
    sum of delays. Raises ValueError if a call waits for itself or for one that is not there."""
    calls = _sorted(calls)
    due = _pulled_forward(calls)
    order = sorted(calls, key=lambda call: (due[call.name], call.name))
    best = _improved(_in_time(order), min(TRIES, TRIES_WORK // max(1, len(calls) ** 2)))
    return Shift(tuple(best), _bound_s(calls, due))


def evening_before(calls: Sequence[Call], *, evening_s: int, spots: Mapping[str, int]) -> Evening:
    """Do early calls the evening before, as far as time and each dock's spots allow.

    Those whose dock needs them first go first; a call goes only with all that it waits for. What
    saves the morning nothing stays undone.
    """
    before = serve(calls)
    done: list[Call] = []
    left_s, free = evening_s, dict(spots)
    for call in _by_due(calls):
        if call.does != "pull" or not call.early:
            continue
        names = {one.name for one in done}
        needs = [one for one in _with_needs(call, calls) if one.name not in names]
        pulls = [one for one in needs if one.does == "pull"]
        room = all(sum(p.dock == q.dock for q in pulls) <= free.get(p.dock, 0) for p in pulls)
        takes_s = sum(one.takes_s for one in needs)
        if room and takes_s <= left_s and all(one.early for one in needs):
            done += needs
            left_s -= takes_s
            for one in pulls:
                free[one.dock] -= 1
    after = serve(without(calls, {call.name for call in done}))
    saved_s = before.waiting_s - after.waiting_s
    if saved_s <= 0:
        return Evening((), before, 0)
    return Evening(tuple(done), after, saved_s)


def _sorted(calls: Sequence[Call]) -> list[Call]:
    """Calls so that each comes after all that it waits for."""
    by_name = {call.name: call for call in calls}
    if len(by_name) != len(calls):
        raise ValueError("two calls have the same name")
    out: dict[str, Call] = {}
    waiting = list(calls)
    while waiting:
        able = [call for call in waiting if all(name in out for name in call.after)]
        if not able:
            raise ValueError(f"call {waiting[0].name} can never be served")
        out |= {call.name: call for call in able}
        waiting = [call for call in waiting if call.name not in out]
    return list(out.values())


def _pulled_forward(calls: Sequence[Call]) -> dict[str, int]:
    """Due dates so that a call is due in time for all that wait for it."""
    due = {call.name: call.due_s for call in calls}
    for call in reversed(calls):
        for name in call.after:
            due[name] = min(due[name], due[call.name] - call.takes_s)
    return due


def _in_time(order: Sequence[Call]) -> list[Served]:
    """Serve in this order, but nothing before what it waits for, and idle only if all must wait."""
    waiting = list(order)
    served: list[Served] = []
    done: dict[str, int] = {}
    now = 0
    while waiting:
        able = [call for call in waiting if all(name in done for name in call.after)]
        now = max(now, min(call.ready_s for call in able))
        call = next(call for call in able if call.ready_s <= now)
        served.append(Served(call, now))
        now += call.takes_s
        done[call.name] = now
        waiting.remove(call)
    return served


def _key(served: Sequence[Served]) -> tuple[int, int]:
    return max((one.late_s for one in served), default=0), sum(one.late_s for one in served)


def _improved(best: list[Served], tries: int) -> list[Served]:
    """Put one late call after another earlier, and keep what lessens the delays."""
    improved = True
    while improved:
        improved = False
        order = [one.call for one in best]
        ways = ((n, k) for n, one in enumerate(best) if one.late_s for k in range(n))
        for n, k in ways:
            if tries == 0:
                return best
            tries -= 1
            tried = _in_time([*order[:k], order[n], *order[k:n], *order[n + 1 :]])
            if _key(tried) < _key(best):
                best, improved = tried, True
                break
    return best


def _bound_s(calls: Sequence[Call], due: Mapping[str, int]) -> int:
    """The largest delay if calls could be interrupted, each time the one that is due first."""
    ready: dict[str, int] = {}
    for call in calls:
        ends = [ready[name] + _takes(calls, name) for name in call.after]
        ready[call.name] = max([call.ready_s, *ends])
    coming = sorted(calls, key=lambda call: ready[call.name], reverse=True)
    at_hand: list[tuple[int, str, int]] = []
    now = latest = 0
    while coming or at_hand:
        if not at_hand:
            now = max(now, ready[coming[-1].name])
        while coming and ready[coming[-1].name] <= now:
            call = coming.pop()
            heapq.heappush(at_hand, (due[call.name], call.name, call.takes_s))
        due_s, name, left_s = heapq.heappop(at_hand)
        until = now + left_s
        if coming and ready[coming[-1].name] < until:
            until = ready[coming[-1].name]
            heapq.heappush(at_hand, (due_s, name, left_s - (until - now)))
        else:
            latest = max(latest, until - due_s)
        now = until
    return latest


def _takes(calls: Sequence[Call], name: str) -> int:
    return next(call.takes_s for call in calls if call.name == name)


def _by_due(calls: Sequence[Call]) -> list[Call]:
    due = _pulled_forward(_sorted(calls))
    return sorted(calls, key=lambda call: (due[call.name], call.name))


def _with_needs(call: Call, calls: Sequence[Call]) -> list[Call]:
    """A call and all that it waits for, in an order in which they can be done."""
    by_name = {one.name: one for one in calls}
    names = {call.name}
    todo = [call]
    while todo:
        for name in todo.pop().after:
            if name not in names:
                names.add(name)
                todo.append(by_name[name])
    return [one for one in _sorted(calls) if one.name in names]
