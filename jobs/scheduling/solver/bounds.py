"""How early everything can end at best, proved without a search."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from jobs.scheduling.solver.dividing import divided_bound, stays_put
from jobs.scheduling.solver.phases import phased_bound
from jobs.scheduling.solver.pools import People, seat_pools, sure_of
from jobs.scheduling.solver.problem import Absence, Activity, Mode, Problem, shortest_ways

Array = np.ndarray[Any, Any]
_GAUGES = 6
"""So many pools are watched while a schedule is made."""
_HEADS = 30
"""So many beginnings of a stretch of time are looked at, for the bound is wanted at once."""


def lower_bound(problem: Problem) -> int:
    """No schedule ends earlier: the longest way through the needs, and the work of each pool.

    A pool is a resource, or the people who may take certain seats. The work of a pool that lies
    behind `head` and before `tail` needs at least its share of the time between; absences
    count as time that is not there, and so do ways: see `_heights`. Ways to do an activity are
    the shortest, the least work and the shortest before and after it, each for itself. How the
    work can be divided among few people: see `dividing` and `phases`.
    """
    if not problem.activities:
        return 0
    least = _least_times(problem)
    heads, tails = _heads(problem, least), _tails(problem, least)
    bound = max(head + tail for head, tail in zip(heads, tails, strict=True))
    ends = [tail - time for tail, time in zip(tails, least, strict=True)]
    for pool in _pools(problem, heads, ends, least):
        bound = max(bound, _work_bound(pool))
    if stays_put(problem):
        return max(bound, divided_bound(problem, heads, bound))
    return max(bound, phased_bound(problem, heads, tails, bound))


Piece = tuple[int, int, int]
"""The earliest beginning of some work, the shortest time after its end, and how much it is."""


@dataclass(frozen=True, slots=True)
class _Pool:
    """Work, how many can do it at a time, and when one of them is not there.

    `slack` is what may be missing from the work of a stretch of time, `slack_at_first` from
    that of one from the very beginning.
    """

    pieces: Sequence[Piece]
    capacity: int
    absences: tuple[Absence, ...] = ()
    slack: int = 0
    slack_at_first: int = 0


@dataclass(frozen=True, slots=True)
class Gauge:
    """The work of each activity that is sure to fall to certain people.

    `heights` are those of the places that the work counts, see `_heights`, the lowest is 0.
    """

    work: tuple[int, ...]
    who: tuple[int, ...]
    heights: tuple[int, ...]

    @property
    def people(self) -> int:
        return len(self.who)


def gauges_of(problem: Problem) -> list[Gauge]:
    """The work of all and of each pool, as many as are worth a look, the fullest first."""
    heights, found = _heights(problem), []
    for people in seat_pools(problem):
        sure = [[sure_of(a, mode, people) for mode in a.modes] for a in problem.activities]
        least = [-_total(problem, sure, height, people) for height in heights]
        height, nothing = heights[least.index(min(least))], [0] * len(sure)
        pool = _worked(problem, nothing, nothing, people, sure, height)
        work = tuple(max(0, work) for _, _, work in pool.pieces)
        lowest = min(height)
        above = tuple(one - lowest for one in height)
        found.append(Gauge(work, tuple(sorted(people)), above))
    return sorted(found, key=lambda one: -sum(one.work) / one.people)[:_GAUGES]


def least_tails(problem: Problem) -> list[int]:
    """The shortest time from when people set off for each activity to the end of all."""
    return _tails(problem, _least_times(problem))


def _shortest(activity: Activity) -> int:
    return min(mode.duration for mode in activity.modes)


def _least_times(problem: Problem) -> list[int]:
    """The least time from when people set off for each activity until it ends."""
    seated = [a for a in problem.activities if any(mode.seats for mode in a.modes)]
    found = {person.place for person in problem.people} | {a.place_after for a in seated}
    return [
        _shortest(activity)
        + (
            min((problem.travel[place][activity.place] for place in found), default=0)
            if all(mode.seats for mode in activity.modes)
            else 0
        )
        for activity in problem.activities
    ]


def _heads(problem: Problem, least: Sequence[int]) -> list[int]:
    """The earliest time to set off for each activity."""
    ends = [0] * len(problem.activities)
    heads = [0] * len(problem.activities)
    for number in problem.order:
        activity = problem.activities[number]
        heads[number] = max([0, activity.release, *(ends[need] for need in activity.needs)])
        ends[number] = heads[number] + least[number]
    return heads


def _tails(problem: Problem, least: Sequence[int]) -> list[int]:
    """The shortest time from when people set off for each activity to the end of all."""
    followers = problem.followers
    tails = [0] * len(problem.activities)
    for number in reversed(problem.order):
        after = [tails[follower] for follower in followers[number]]
        tails[number] = least[number] + max(after, default=0)
    return tails


def _pools(
    problem: Problem, heads: list[int], ends: list[int], least: Sequence[int]
) -> Iterator[_Pool]:
    for resource, capacity in enumerate(problem.capacities):
        taken = _pieces(problem, heads, ends, lambda _, mode, r=resource: _taken(mode, r))  # type: ignore[misc]
        yield _Pool(taken + _held(problem, resource, heads, ends, least), capacity)
    heights = _heights(problem)
    for people in seat_pools(problem):
        sure = [[sure_of(a, mode, people) for mode in a.modes] for a in problem.activities]
        best = min(range(len(heights)), key=lambda k: -_total(problem, sure, heights[k], people))
        for height in {0: heights[0], best: heights[best]}.values():
            yield _worked(problem, heads, ends, people, sure, height)


def _taken(mode: Mode, resource: int) -> int:
    return mode.duration * mode.amounts[resource] if mode.amounts else 0


def _pieces(
    problem: Problem,
    heads: list[int],
    ends: list[int],
    work: Callable[[Activity, Mode], int],
) -> list[Piece]:
    """Each activity's work, done in the way in which it is least."""
    return [
        (head, end, min(work(activity, mode) for mode in activity.modes))
        for head, end, activity in zip(heads, ends, problem.activities, strict=True)
    ]


def _held(
    problem: Problem, resource: int, heads: list[int], ends: list[int], least: Sequence[int]
) -> list[Piece]:
    """What holds take at least: from the beginning of what opens them to the end of what closes."""
    pieces = []
    for hold in problem.holds:
        if hold.resource == resource:
            head = heads[hold.opens] if hold.opens >= 0 else 0
            span = heads[hold.closes] + least[hold.closes]
            if hold.opens >= 0:
                span = least[hold.opens]
                span += least[hold.closes] if hold.opens != hold.closes else 0
            pieces.append((head, ends[hold.closes], hold.amount * span))
    return pieces


def _heights(problem: Problem) -> list[list[int]]:
    """A height for each place, so that no way is shorter than what it climbs; the first is flat.

    Whoever does an activity that leads down and then one that begins high has climbed between.
    So to the work of each activity the height it loses may be added, and it counts ways that
    nobody can save, but for the height between where people are at first and in the end.
    Heights are those above one place, or below it. They are left out where an activity gains
    more than it takes time, for it would be quicker than the way.
    """
    places, ways = range(len(problem.travel)), shortest_ways(problem.travel)
    found = [[0 for _ in places]]
    found += [[ways[base][place] for place in places] for base in places]
    found += [[-ways[place][base] for place in places] for base in places]
    return [height for height in found if all(_loses(a, height) >= 0 for a in problem.activities)]


def _loses(activity: Activity, height: Sequence[int]) -> int:
    """The least time of the activity and the height it loses."""
    return _shortest(activity) + height[activity.place] - height[activity.place_after]


def _total(
    problem: Problem, sure: Sequence[Sequence[int]], height: Sequence[int], people: People
) -> int:
    """All work of these people with the heights it loses."""
    lost = sum(
        min(seats) * (height[activity.place] - height[activity.place_after])
        for activity, seats in zip(problem.activities, sure, strict=True)
    )
    return lost - sum(height[problem.people[person].place] - min(height) for person in people)


def _worked(
    problem: Problem,
    heads: list[int],
    ends: list[int],
    people: People,
    sure: Sequence[Sequence[int]],
    height: Sequence[int],
) -> _Pool:
    pieces = []
    for number, activity in enumerate(problem.activities):
        lost = height[activity.place] - height[activity.place_after]
        work = min(
            seats * (mode.duration + lost)
            for mode, seats in zip(activity.modes, sure[number], strict=True)
        )
        pieces.append((heads[number], ends[number], work))
    there = [problem.people[person] for person in sorted(people)]
    return _Pool(
        pieces,
        len(people),
        tuple(absence for person in there for absence in person.absences),
        slack=len(people) * (max(height) - min(height)),
        slack_at_first=sum(height[person.place] - min(height) for person in there),
    )


def _work_bound(pool: _Pool) -> int:
    """The best bound over those pieces that begin after one time and end before another."""
    work = sorted((piece for piece in pool.pieces if piece[2] > 0), key=lambda piece: -piece[1])
    if pool.capacity <= 0 or not work:
        return 0
    heads, tails, amounts = np.array(work, np.int64).T
    best = 0
    for head in _few(sorted(set(heads.tolist()))):
        chosen = heads >= head
        total = np.cumsum(amounts[chosen]) - (pool.slack_at_first if head == 0 else pool.slack)
        best = max(best, int((_times_for(total, head, pool) + tails[chosen]).max()))
    return best


def _few(heads: list[int]) -> list[int]:
    return heads[:: max(1, len(heads) // _HEADS)]


def _times_for(work: Array, begin: int, pool: _Pool) -> Array:
    """When so much work is done at the earliest from `begin` on."""
    present = pool.capacity - sum(a <= begin < b for a, b in pool.absences)
    changes = sorted(
        [(a, -1) for a, _ in pool.absences if a > begin]
        + [(b, 1) for _, b in pool.absences if b > begin]
    )
    times = np.full(len(work), begin, np.int64)
    done, time = 0, begin
    for at, change in [*changes, (begin, 0)]:
        left = work > done
        times[left] = time - (done - work[left]) // present if present > 0 else time
        done, time, present = done + present * (at - time), at, present + change
    return times
