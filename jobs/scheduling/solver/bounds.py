"""How early everything can end at best, proved without a search."""

from collections.abc import Callable, Iterator, Sequence

from jobs.scheduling.solver.problem import Activity, Mode, Problem


def lower_bound(problem: Problem) -> int:
    """No schedule ends earlier: the longest way through the needs, and the work of each pool.

    A pool is a resource, or the people who may take certain seats. The work of a pool that lies
    behind `head` and before `tail` needs at least its share of the time between; absences
    count as time that is not there. Ways to do an activity are the shortest, the least work and
    the shortest before and after it, each for itself.
    """
    heads, tails = _heads(problem), _tails(problem)
    bound = max((head + tail for head, tail in zip(heads, tails, strict=True)), default=0)
    for pieces, capacity, absences in _pools(problem, heads, tails):
        bound = max(bound, _work_bound(pieces, capacity, absences))
    return bound


Piece = tuple[int, int, int]
"""The earliest beginning of some work, the shortest time after its end, and how much it is."""
Pool = tuple[list[Piece], int, tuple[tuple[int, int], ...]]
"""Work, how many can do it at a time, and when one of them is not there."""


def _shortest(problem: Problem, number: int) -> int:
    return min(mode.duration for mode in problem.activities[number].modes)


def _heads(problem: Problem) -> list[int]:
    """The earliest beginning of each activity."""
    heads = [0] * len(problem.activities)
    for number in problem.order:
        activity = problem.activities[number]
        after = [heads[need] + _shortest(problem, need) for need in activity.needs]
        heads[number] = max([0, activity.release, *after])
    return heads


def _tails(problem: Problem) -> list[int]:
    """The shortest time from each activity's beginning to the end of all."""
    followers = problem.followers
    tails = [0] * len(problem.activities)
    for number in reversed(problem.order):
        after = [tails[follower] for follower in followers[number]]
        tails[number] = _shortest(problem, number) + max(after, default=0)
    return tails


def _pools(problem: Problem, heads: list[int], tails: list[int]) -> Iterator[Pool]:
    ends = [tail - _shortest(problem, number) for number, tail in enumerate(tails)]

    def pieces(work: Callable[[Activity, Mode], int]) -> list[Piece]:
        return [
            (
                heads[n],
                ends[n],
                min(mode.duration * work(activity, mode) for mode in activity.modes),
            )
            for n, activity in enumerate(problem.activities)
        ]

    for resource, capacity in enumerate(problem.capacities):
        taken = pieces(lambda _, mode, r=resource: mode.amounts[r] if mode.amounts else 0)  # type: ignore[misc]
        yield taken + _held(problem, resource, heads, ends), capacity, ()
    for people in seat_pools(problem):
        absences = [one for person in sorted(people) for one in problem.people[person].absences]
        worked = pieces(lambda activity, mode, those=people: _seats_within(activity, mode, those))  # type: ignore[misc]
        yield worked, len(people), tuple(absences)


def _held(problem: Problem, resource: int, heads: list[int], ends: list[int]) -> list[Piece]:
    """What holds take at least: from the beginning of what opens them to the end of what closes."""
    pieces = []
    for hold in problem.holds:
        if hold.resource == resource:
            head = heads[hold.opens] if hold.opens >= 0 else 0
            span = heads[hold.closes] + _shortest(problem, hold.closes) if hold.opens < 0 else 0
            if hold.opens >= 0:
                span = _shortest(problem, hold.opens) + _shortest(problem, hold.closes)
                span = span if hold.opens != hold.closes else _shortest(problem, hold.opens)
            pieces.append((head, ends[hold.closes], hold.amount * span))
    return pieces


def seat_pools(problem: Problem) -> list[frozenset[int]]:
    """The sets of people that some seat asks for, and all the people there are."""
    found = {frozenset(range(len(problem.people)))} if problem.people else set()
    for activity in problem.activities:
        for mode in activity.modes:
            found |= {seat_people(seat) for seat in mode.seats}
    joined = found | {one | other for one in found for other in found} if len(found) < 12 else found
    return sorted(joined, key=sorted)


def seat_people(seat: Sequence[int]) -> frozenset[int]:
    return frozenset(person for person, rank in enumerate(seat) if rank >= 0)


def _seats_within(activity: Activity, mode: Mode, people: frozenset[int]) -> int:
    """How many of the activity's people are sure to be among these."""
    if activity.team:
        return len(people.intersection(activity.team))
    return sum(seat_people(seat) <= people for seat in mode.seats)


def _work_bound(pieces: Sequence[Piece], capacity: int, absences: Sequence[tuple[int, int]]) -> int:
    """The best bound over those pieces that begin after one time and end before another."""
    if capacity <= 0:
        return 0
    work = sorted((piece for piece in pieces if piece[2] > 0), key=lambda piece: -piece[1])
    best = 0
    for head in _few({piece[0] for piece in work}):
        total = 0
        for begins, tail, amount in work:
            if begins >= head:
                total += amount
                best = max(best, _time_for(total, head, capacity, absences) + tail)
    return best


def _few(heads: set[int]) -> list[int]:
    """At most about 30 of them, for the bound is wanted at once."""
    ordered = sorted(heads)
    return ordered[:: max(1, len(ordered) // 30)]


def _time_for(work: int, begin: int, capacity: int, absences: Sequence[tuple[int, int]]) -> int:
    """When so much work is done at the earliest by `capacity` from `begin` on."""
    if not absences:
        return begin - -work // capacity
    time, present = begin, capacity - sum(a <= begin < b for a, b in absences)
    changes = sorted(
        [(a, -1) for a, _ in absences if a > begin] + [(b, 1) for _, b in absences if b > begin]
    )
    for at, change in changes:
        done = present * (at - time)
        if done >= work:
            break
        work, time, present = work - done, at, present + change
    return time - -work // present if present > 0 else time
