"""Who may sit where, and how much of an activity's work is sure to fall to certain people."""

from collections import defaultdict
from collections.abc import Sequence
from functools import lru_cache

from jobs.scheduling.solver.problem import Activity, Mode, Problem

People = frozenset[int]
MOST_KINDS = 12
"""For more kinds of people a linear programme takes too long to be looked at by the way."""
_MOST_JOINED = 12
"""Pools are joined in pairs only while they are so few."""


def seat_pools(problem: Problem) -> list[People]:
    """The sets of people that some seat asks for, all the people there are, and unions of two."""
    found = {frozenset(range(len(problem.people)))} if problem.people else set()
    for activity in problem.activities:
        for mode in activity.modes:
            found |= {seat_people(seat) for seat in mode.seats}
    found.discard(frozenset())
    few = len(found) < _MOST_JOINED
    joined = found | {one | other for one in found for other in found} if few else found
    return sorted(joined, key=sorted)


@lru_cache(maxsize=4096)
def seat_people(seat: tuple[int, ...]) -> People:
    return frozenset(person for person, rank in enumerate(seat) if rank >= 0)


def sure_of(activity: Activity, mode: Mode, people: People) -> int:
    """How many of an activity's people are sure to be among these.

    Those who are not can take only as many seats as there are others to take them: a piece that
    a loader and anybody else load takes one of the others where there is one loader.
    """
    if activity.team:
        return len(people.intersection(activity.team))
    return _sure(tuple(seat_people(seat) for seat in mode.seats), people)


@lru_cache(maxsize=4096)
def _sure(seats: tuple[People, ...], people: People) -> int:
    """The seats that are left when as many as can be are given to others."""
    holder: dict[int, int] = {}
    others = [sorted(seat - people) for seat in seats]
    return sum(not _seated(number, others, holder, set()) for number in range(len(seats)))


def _seated(
    number: int, others: Sequence[Sequence[int]], holder: dict[int, int], tried: set[int]
) -> bool:
    """Give a seat to one of the others, moving those who sit already where that helps."""
    for person in others[number]:
        if person in tried:
            continue
        tried.add(person)
        if person not in holder or _seated(holder[person], others, holder, tried):
            holder[person] = number
            return True
    return False


def kinds_of(problem: Problem) -> list[list[int]]:
    """The people, those together between whom there is no difference."""
    seats = {seat for activity in problem.activities for m in activity.modes for seat in m.seats}
    teams = {activity.team for activity in problem.activities if activity.team}
    found: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for number, person in enumerate(problem.people):
        may = tuple(seat[number] >= 0 for seat in seats)
        kept = tuple(number in team for team in teams)
        found[person.place, person.absences, may, kept].append(number)
    return list(found.values())


def may_sit(activity: Activity, seat: tuple[int, ...], person: int) -> bool:
    return person in activity.team if activity.team else seat[person] >= 0


def likeness(activity: Activity) -> tuple[object, ...]:
    """The same for activities that ask the same people for the same work."""
    ways = tuple(
        (mode.duration, tuple(tuple(rank >= 0 for rank in seat) for seat in mode.seats))
        for mode in activity.modes
    )
    return activity.place, activity.place_after, activity.team, ways
