"""A problem and its schedule as the arrays that the compiled scheduler works on."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from jobs.scheduling.solver.bounds import Gauge
from jobs.scheduling.solver.problem import Activity, Problem, Schedule, Start

Array = np.ndarray[Any, Any]
FAR = 1 << 40
"""A time that is never reached."""


BITS = 62
"""People stand for bits of a word by their number modulo this; the bit above is always set."""


class Tables(NamedTuple):
    """A problem as arrays; lists of lists as one array with offsets in the one named `_at`."""

    need_at: Array
    after_at: Array
    after: Array
    release: Array
    due: Array
    place: Array
    place_after: Array
    mode_at: Array
    duration: Array
    amount: Array  # (mode, resource)
    seat_at: Array
    rank: Array  # (seat, person), -1 where the person may not
    team_at: Array
    team: Array
    capacity: Array
    held: Array  # taken of each resource at first
    open_at: Array  # of each activity the holds it opens
    opens: Array
    close_at: Array
    closes: Array
    hold_resource: Array
    hold_amount: Array
    hold_turn: Array  # place of the hold among those of its resource
    turn_at: Array  # of each resource its holds in turn
    turns: Array
    away_at: Array
    away: Array  # (absence, 2)
    home: Array
    travel: Array
    wake: Array
    lead_bits: Array  # of each activity whom of it takes one; `BITS` where nobody in particular
    tail: Array  # from each activity's beginning to the last end, by precedence alone
    gauge: Array  # (activity, gauge): the activity's part of the work of certain people
    gauge_left: Array  # all of it
    gauge_people: Array  # how many share it


class Desk(NamedTuple):
    """What a schedule is made on: the state of everything at one moment."""

    missing: Array  # how many needs of each activity have not ended
    ready: Array
    under_way: Array
    level: Array  # taken of each resource
    opened: Array  # of each hold
    next_turn: Array  # of each resource its first hold that is not opened
    busy: Array
    kept: Array  # idle, but waiting for an activity
    kept_for: Array  # how many activities still to come are kept for the person
    where: Array
    away: Array  # the next absence
    team: Array  # seats being filled
    begun: Array  # in the order of beginning
    left: Array  # of each gauge the work of what has not begun
    outlook: Array  # of each gauge when its work can have ended
    clock: Array  # see `events`


class Choices(NamedTuple):
    """What a schedule is made from: one number for each activity.

    `pick` is somebody who takes a seat before all others, or, with the number of people added,
    somebody who takes none; -1 where it is left to the ranks.
    """

    key: Array
    wait: Array
    mode: Array
    pick: Array


class Made(NamedTuple):
    """A schedule as arrays; `mode` is -1 where an activity is not done."""

    mode: Array
    goes: Array
    begins: Array
    ends: Array
    team: Array  # (activity, seat), -1 for nobody


def tables_of(problem: Problem, gauges: Sequence[Gauge] = ()) -> Tables:
    activities, people = problem.activities, problem.people
    modes = [mode for activity in activities for mode in activity.modes]
    seats = [seat for mode in modes for seat in mode.seats]
    resources = len(problem.capacities)
    place_of = {number: place for place, number in enumerate(problem.order)}
    holds = sorted(
        range(len(problem.holds)), key=lambda h: place_of.get(problem.holds[h].opens, -1)
    )
    turns = [[h for h in holds if problem.holds[h].resource == r] for r in range(resources)]
    hold_turn = np.zeros(len(problem.holds), np.int64)
    held = np.zeros(resources, np.int64)
    for those in turns:
        hold_turn[those] = np.arange(len(those))
    for hold in problem.holds:
        held[hold.resource] += hold.amount if hold.opens < 0 else 0
    opens: list[list[int]] = [[] for _ in activities]
    closes: list[list[int]] = [[] for _ in activities]
    for number, hold in enumerate(problem.holds):
        closes[hold.closes].append(number)
        if hold.opens >= 0:
            opens[hold.opens].append(number)
    followers = problem.followers
    need_at, _ = _joined([activity.needs for activity in activities])
    after_at, after = _joined(followers)
    open_at, opens_flat = _joined(opens)
    close_at, closes_flat = _joined(closes)
    turn_at, turns_flat = _joined(turns)
    team_at, team = _joined([activity.team for activity in activities])
    absences = [sorted(person.absences) for person in people]
    wake = {activity.release for activity in activities}
    wake |= {back for person in people for _, back in person.absences}
    return Tables(
        need_at=need_at,
        after_at=after_at,
        after=after,
        release=np.array([activity.release for activity in activities], np.int64),
        due=np.array([FAR if a.due is None else a.due for a in activities], np.int64),
        place=np.array([activity.place for activity in activities], np.int64),
        place_after=np.array([activity.place_after for activity in activities], np.int64),
        mode_at=_offsets([len(activity.modes) for activity in activities]),
        duration=np.array([mode.duration for mode in modes], np.int64),
        amount=np.array([mode.amounts or (0,) * resources for mode in modes], np.int64).reshape(
            len(modes), resources
        ),
        seat_at=_offsets([len(mode.seats) for mode in modes]),
        rank=np.array(seats, np.int64).reshape(len(seats), len(people)),
        team_at=team_at,
        team=team,
        capacity=np.array(problem.capacities, np.int64),
        held=held,
        open_at=open_at,
        opens=opens_flat,
        close_at=close_at,
        closes=closes_flat,
        hold_resource=np.array([hold.resource for hold in problem.holds], np.int64),
        hold_amount=np.array([hold.amount for hold in problem.holds], np.int64),
        hold_turn=hold_turn,
        turn_at=turn_at,
        turns=turns_flat,
        away_at=_offsets([len(those) for those in absences]),
        away=np.array([one for those in absences for one in those], np.int64).reshape(-1, 2),
        home=np.array([person.place for person in people], np.int64),
        travel=np.array(problem.travel, np.int64),
        wake=np.array(sorted(wake), np.int64),
        lead_bits=np.array([_lead_bits(activity) for activity in activities], np.int64),
        tail=_tails(problem, followers),
        gauge=np.array([gauge.work for gauge in gauges], np.int64)
        .reshape(len(gauges), len(activities))
        .T.copy(),
        gauge_left=np.array([sum(gauge.work) for gauge in gauges], np.int64),
        gauge_people=np.array([gauge.people for gauge in gauges], np.int64),
    )


def _lead_bits(activity: Activity) -> int:
    if activity.team or not all(mode.seats for mode in activity.modes):
        return 1 << BITS
    bits = 0
    for mode in activity.modes:
        bits |= _bits_of(mode.seats[0])
    return bits


@lru_cache(maxsize=4096)
def _bits_of(seat: tuple[int, ...]) -> int:
    bits = 0
    for person, rank in enumerate(seat):
        bits |= (rank >= 0) << person % BITS
    return bits


def _joined(lists: Sequence[Sequence[int]]) -> tuple[Array, Array]:
    flat = np.array([number for those in lists for number in those], np.int64)
    return _offsets([len(those) for those in lists]), flat


def _offsets(counts: Sequence[int]) -> Array:
    at = np.zeros(len(counts) + 1, np.int64)
    at[1:] = np.cumsum(np.array(counts, np.int64))
    return at


def _tails(problem: Problem, followers: Sequence[Sequence[int]]) -> Array:
    tails = [0] * len(problem.activities)
    for number in reversed(problem.order):
        longest = max([tails[after] for after in followers[number]], default=0)
        tails[number] = longest + min([mode.duration for mode in problem.activities[number].modes])
    return np.array(tails, np.int64)


def made_of(tables: Tables) -> Made:
    """Room for a schedule."""
    count = len(tables.release)
    seats = max(1, int(np.diff(tables.seat_at).max(initial=0)), int(np.diff(tables.team_at).max()))
    nothing = np.full(count, -1, np.int64)
    return Made(
        mode=nothing,
        goes=nothing.copy(),
        begins=nothing.copy(),
        ends=nothing.copy(),
        team=np.full((count, seats), -1, np.int64),
    )


def choices_of(key: Array, *, wait: bool = False) -> Choices:
    """Keys, people kept waiting for all or for nothing, and the rest left open."""
    count = len(key)
    return Choices(
        key=key.astype(np.float64),
        wait=np.full(count, wait),
        mode=np.full(count, -1, np.int64),
        pick=np.full(count, -1, np.int64),
    )


def desk_of(tables: Tables) -> Desk:
    """Room to make a schedule on."""
    count, resources, people = len(tables.release), len(tables.capacity), len(tables.home)
    seats = made_of(tables).team.shape[1]
    return Desk(
        missing=np.zeros(count, np.int64),
        ready=np.zeros(count, np.int64),
        under_way=np.zeros(count, np.int64),
        level=np.zeros(resources, np.int64),
        opened=np.zeros(len(tables.hold_amount), np.bool_),
        next_turn=np.zeros(resources, np.int64),
        busy=np.zeros(people, np.bool_),
        kept=np.zeros(people, np.bool_),
        kept_for=np.zeros(people, np.int64),
        where=np.zeros(people, np.int64),
        away=np.zeros(people, np.int64),
        team=np.zeros(seats, np.int64),
        begun=np.zeros(count, np.int64),
        left=np.zeros(len(tables.gauge_left), np.int64),
        outlook=np.zeros(len(tables.gauge_left)),
        clock=np.zeros(6, np.int64),
    )


def schedule_of(tables: Tables, made: Made) -> Schedule:
    """The schedule as the rest of the program reads it."""
    # Seats are filled from the first on, so who sits anywhere is at the beginning of a row.
    rows = zip(
        made.mode.tolist(),
        tables.mode_at.tolist(),
        made.goes.tolist(),
        made.begins.tolist(),
        made.ends.tolist(),
        made.team.tolist(),
        (made.team >= 0).sum(axis=1).tolist(),
        strict=False,
    )
    return Schedule(
        tuple(
            [
                Start(mode - first, goes, begins, ends, tuple(team[:size])) if mode >= 0 else None
                for mode, first, goes, begins, ends, team, size in rows
            ]
        )
    )
