"""What schedules made side by side are guided by, and room for them: see `abreast`."""

from collections.abc import Iterator, Sequence
from itertools import product
from typing import NamedTuple

import numpy as np

from jobs.scheduling.solver.bounds import least_tails
from jobs.scheduling.solver.problem import Activity, Mode, Problem
from jobs.scheduling.solver.tables import BITS, Array, Tables
from jobs.scheduling.solver.tariffs import Tariff

_MOST_OPTIONS = 16
"""More ways to fill the seats of an activity are not looked at."""
_HIGHEST_RANK = 120
_MARKS = 48
"""So many activities on the longest way through the needs for which others are looked at."""


class Guide(NamedTuple):
    """A problem beside its `Tables`; an option is a mode and a kind of people for each seat.

    A kind is people who may take the same seats; in `seat` the person p alone is -2 - p.
    """

    kind: Array  # of each person
    kept_for: Array  # of each person how many activities are kept for it
    option_at: Array
    mode: Array  # of each option
    seats: Array
    seat: Array  # (option, seat)
    rank: Array  # (option, seat, person)
    need: Array
    opens: Array  # of each hold
    closes: Array
    takes: Array  # (activity, resource), with the holds it opens
    tail: Array
    by_tail: Array  # activities, the longest tail first
    mark: Array  # of each activity the first mark that needs it
    mark_tail: Array  # of each mark how long all takes at least from there
    work: Array  # (activity, tariff)
    total: Array  # of all work, by tariff
    marked: Array  # (tariff, mark), of the work before the mark; the first tariffs only
    share: Array  # (tariff, person)
    height: Array  # (tariff, person, place)
    shortest: Array  # one number: what takes least time takes so long
    longest: Array  # one number: nothing takes longer


class Lines(NamedTuple):
    """Schedules under way; the first index of all is the line."""

    begun: Array  # a bit for each activity
    under_way: Array
    ends: Array  # of what is under way
    mode: Array
    free: Array
    where: Array
    kept_for: Array
    ready: Array
    open: Array  # holds
    next_turn: Array
    left: Array
    before: Array  # what is left before each mark
    clock: Array


class Offers(NamedTuple):
    """The best offers, as a heap with the worst of them first, and codes of all there were."""

    worth: Array
    line: Array
    activity: Array
    option: Array
    seen: Array
    counts: Array


class Pad(NamedTuple):
    """Where one line and one offer are reckoned."""

    team: Array
    times: Array
    since: Array
    earliest: Array
    base: Array
    before: Array
    behind: Array
    until: Array
    place: Array
    outlook: Array
    soonest: Array


Option = tuple[int, tuple[int, ...], tuple[tuple[int, ...], ...]]
"""A mode, a kind for each seat, and the ranks of the seat's people."""


def guide_of(problem: Problem, tariffs: Sequence[Tariff]) -> Guide:
    """The guide by these tariffs; those that are marked come first."""
    activities, people = problem.activities, problem.people
    kinds = _kinds(problem)
    options = list(_options(problem, kinds))
    flat = [option for those in options for option in those]
    seat, rank = _seats(flat, len(people))
    tail = np.array(least_tails(problem), np.int64)
    work = np.array([tariff.work for tariff in tariffs], np.float64)
    work = work.reshape(len(tariffs), len(activities))
    share = np.array([tariff.second for tariff in tariffs], np.float64)
    height = np.array([tariff.heights for tariff in tariffs], np.float64)
    looks = sum(tariff.marked for tariff in tariffs)
    marks = np.array(_marks(problem, tail.tolist()) if looks else [], np.int64)
    mark = _first_needing(problem, marks)
    kept_for = [person for activity in activities for person in activity.team]
    return Guide(
        kind=np.array(kinds, np.int64),
        kept_for=np.bincount(kept_for, minlength=len(people)).astype(np.int64),
        option_at=np.cumsum([0, *(len(those) for those in options)]).astype(np.int64),
        mode=np.array([mode for mode, _, _ in flat], np.int64),
        seats=np.array([len(seats) for _, seats, _ in flat], np.int64),
        seat=seat,
        rank=rank,
        need=np.array([need for activity in activities for need in activity.needs], np.int64),
        opens=np.array([hold.opens for hold in problem.holds], np.int64),
        closes=np.array([hold.closes for hold in problem.holds], np.int64),
        takes=_takes(problem),
        tail=tail,
        by_tail=np.argsort(-tail, kind="stable"),
        mark=mark,
        mark_tail=tail[marks].astype(np.float64),
        work=work.T.copy(),
        total=work.sum(axis=1),
        marked=np.array(
            [[row[mark <= number].sum() for number in range(len(marks))] for row in work[:looks]]
        ).reshape(looks, len(marks)),
        share=share.reshape(len(tariffs), len(people)),
        height=height.reshape(len(tariffs), len(people), len(problem.travel)),
        longest=np.array([max(m.duration for a in activities for m in a.modes)], np.int64),
        shortest=np.array([min(m.duration for a in activities for m in a.modes)], np.int64),
    )


def _marks(problem: Problem, tails: Sequence[int]) -> list[int]:
    """Some of the activities along the longest way through the needs, but for the first."""
    followers, way = problem.followers, []
    at = max(range(len(tails)), key=lambda number: tails[number])
    while followers[at]:
        at = max(followers[at], key=lambda number: tails[number])
        way.append(at)
    return way[:: max(1, -(-len(way) // _MARKS))]


def _first_needing(problem: Problem, marks: Array) -> Array:
    """For each activity the first mark before which it must have ended; else how many there are."""
    first = np.full(len(problem.activities), len(marks), np.int64)
    for number, mark in enumerate(marks.tolist()):
        found = [mark]
        while found:
            for need in problem.activities[found.pop()].needs:
                if first[need] == len(marks):
                    first[need] = number
                    found.append(need)
    return first


def _seats(options: Sequence[Option], people: int) -> tuple[Array, Array]:
    widest = max([1, *(len(seats) for _, seats, _ in options)])
    seat = np.full((len(options), widest), -1, np.int64)
    rank = np.zeros((len(options), widest, people), np.int64)
    for number, (_, seats, ranks) in enumerate(options):
        seat[number, : len(seats)] = seats
        for place, those in enumerate(ranks):
            rank[number, place] = np.minimum(those, _HIGHEST_RANK)
    return seat, rank


def _kinds(problem: Problem) -> list[int]:
    """For each person a number that those have too who may take the same seats."""
    seats = {seat for activity in problem.activities for m in activity.modes for seat in m.seats}
    number: dict[tuple[bool, ...], int] = {}
    return [
        number.setdefault(tuple(seat[person] >= 0 for seat in seats), len(number))
        for person in range(len(problem.people))
    ]


def _options(problem: Problem, kinds: Sequence[int]) -> Iterator[list[Option]]:
    """For each activity the ways to do it, those with the lowest ranks first."""
    first = 0
    for activity in problem.activities:
        found: dict[tuple[int, ...], tuple[int, Option]] = {}
        for number, mode in enumerate(activity.modes):
            for seats in _seatings(activity, mode, kinds):
                liked = sum(
                    min((r for r, k in zip(ranks, kinds, strict=True) if k == kind), default=0)
                    for ranks, kind in zip(mode.seats, seats, strict=True)
                )
                same = (number, *sorted(seats))
                if same not in found or liked < found[same][0]:
                    found[same] = liked, (first + number, seats, mode.seats)
        yield [option for _, option in sorted(found.values())[:_MOST_OPTIONS]]
        first += len(activity.modes)


def _seatings(activity: Activity, mode: Mode, kinds: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """The kinds of people that can fill the seats of a mode; those it is kept for, one by one."""
    if activity.team:
        if len(activity.team) == len(mode.seats):
            yield tuple(-2 - person for person in activity.team)
        return
    may = [
        sorted({kind for rank, kind in zip(seat, kinds, strict=True) if rank >= 0})
        for seat in mode.seats
    ]
    for seats in product(*may):
        if all(seats.count(kind) <= kinds.count(kind) for kind in seats):
            yield seats


def _takes(problem: Problem) -> Array:
    takes = np.zeros((len(problem.activities), len(problem.capacities)), np.int64)
    for number, activity in enumerate(problem.activities):
        for mode in activity.modes:
            if mode.amounts:
                takes[number] = np.maximum(takes[number], mode.amounts)
    for hold in problem.holds:
        if hold.opens >= 0:
            takes[hold.opens, hold.resource] += hold.amount
    return takes


def lines_of(tables: Tables, guide: Guide, width: int) -> Lines:
    count, people, holds = len(tables.release), len(tables.home), len(guide.opens)

    # Nobody does two activities at once; some may need nobody.
    busy = people + int((guide.seats == 0).sum()) + 1

    def room(size: int, kind: type = np.int64) -> Array:
        return np.empty((width, size), kind)

    return Lines(
        begun=room(-(-count // BITS)),
        under_way=room(busy, np.int32),
        ends=room(busy),
        mode=room(busy, np.int32),
        free=room(people),
        where=room(people),
        kept_for=room(people),
        # One more than there can be: what is left out is written before it is passed over.
        ready=room(count + 1, np.int32),
        open=room(holds + 1, np.int32),
        next_turn=room(len(tables.capacity)),
        left=room(len(guide.share), np.float64),
        before=np.empty((width, *guide.marked.shape)),
        clock=room(8),
    )


def offers_of(width: int) -> Offers:
    nothing = np.zeros(width, np.int64)
    return Offers(
        worth=np.zeros(width),
        line=nothing,
        activity=nothing.copy(),
        option=nothing.copy(),
        seen=np.zeros(1 << (16 * width).bit_length(), np.int64),
        counts=np.zeros(2, np.int64),
    )


def pad_of(tables: Tables, guide: Guide) -> Pad:
    people, tariffs = len(tables.home), len(guide.share)
    return Pad(
        team=np.zeros(guide.seat.shape[1], np.int64),
        times=np.zeros(8, np.int64),
        since=np.zeros(len(tables.release), np.int64),
        earliest=np.zeros(1 + max(guide.kind, default=0)),
        base=np.zeros(tariffs),
        before=np.zeros((len(guide.marked), len(guide.mark_tail) + 1)),
        behind=np.zeros((len(guide.marked), len(guide.mark_tail) + 1)),
        until=np.zeros(people),
        place=np.zeros(people, np.int64),
        outlook=np.zeros(tariffs + len(guide.marked)),
        soonest=np.zeros(1 + max(guide.kind, default=0)),
    )
