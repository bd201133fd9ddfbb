"""What is to be scheduled. Times are whole numbers from an origin that the caller chooses."""

from collections.abc import Sequence
from dataclasses import dataclass, field

Absence = tuple[int, int]
"""From when until when somebody is not there."""


class ProblemError(ValueError):
    """The problem makes no sense; the message says where."""


@dataclass(frozen=True, slots=True)
class Mode:
    """One way to do an activity: how long it takes, of what it needs how much, whom it needs.

    `amounts` has one number for each resource of the problem. `seats` has one entry for each
    person: the ranks of those who may take the seat, one number for each person of the problem,
    lowest first; -1 is somebody who may not.
    """

    duration: int
    amounts: tuple[int, ...] = ()
    seats: tuple[tuple[int, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Activity:
    """Something to be done in one go in one of its modes, once all of `needs` have ended.

    `needs` are indexes of activities. `team` are indexes of the people it is kept for; empty
    where anybody may do it. It begins at `release` at the earliest; ending after `due` costs.
    """

    modes: tuple[Mode, ...]
    needs: tuple[int, ...] = ()
    release: int = 0
    due: int | None = None
    place: int = 0
    place_after: int = 0
    team: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Hold:
    """Some of a resource that is taken from one activity until another.

    Taken when `opens` begins (-1: taken already), given back when `closes` ends.
    """

    resource: int
    amount: int
    opens: int
    closes: int


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who takes seats, one at a time, and is at `place` at first."""

    absences: tuple[Absence, ...] = ()
    place: int = 0


@dataclass(frozen=True, slots=True)
class Problem:
    """Activities, what is limited, who is there, and how far the places are apart.

    `travel` has a row for each place with the time to each place; empty where nothing is far.
    """

    activities: tuple[Activity, ...]
    capacities: tuple[int, ...] = ()
    holds: tuple[Hold, ...] = ()
    people: tuple[Person, ...] = ()
    travel: tuple[tuple[int, ...], ...] = ((0,),)
    order: tuple[int, ...] = field(init=False, compare=False)
    """Every activity after those it needs, otherwise in the order given."""

    def __post_init__(self) -> None:
        _check(self)
        object.__setattr__(self, "order", _order(self.activities))

    @property
    def followers(self) -> tuple[tuple[int, ...], ...]:
        """For each activity those that need it."""
        after: list[list[int]] = [[] for _ in self.activities]
        for number, activity in enumerate(self.activities):
            for need in activity.needs:
                after[need].append(number)
        return tuple(tuple(those) for those in after)


@dataclass(frozen=True, slots=True)
class Start:
    """When an activity begins and ends, in which mode, with whom, and when these set off."""

    mode: int
    goes: int
    begins: int
    ends: int
    team: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Schedule:
    """A start for each activity, None for what nobody is there to do; and when the last ends."""

    starts: tuple[Start | None, ...]

    @property
    def end(self) -> int:
        return max((start.ends for start in self.starts if start), default=0)

    @property
    def left_over(self) -> tuple[int, ...]:
        return tuple(number for number, start in enumerate(self.starts) if start is None)


def shortest_ways(travel: Sequence[Sequence[int]]) -> list[list[int]]:
    """The time from each place to each, over other places where that is shorter."""
    places, ways = range(len(travel)), [list(row) for row in travel]
    for by in places:
        for one in places:
            for other in places:
                ways[one][other] = min(ways[one][other], ways[one][by] + ways[by][other])
    return ways


def _check(problem: Problem) -> None:
    count, people = len(problem.activities), len(problem.people)
    for number, activity in enumerate(problem.activities):
        if not activity.modes:
            raise ProblemError(f"activity {number} has no mode")
        if any(not 0 <= need < count or need == number for need in activity.needs):
            raise ProblemError(f"activity {number} needs one that is not there")
        for mode in activity.modes:
            if mode.duration < 0 or len(mode.amounts) not in (0, len(problem.capacities)):
                raise ProblemError(f"activity {number} has a mode with wrong numbers")
            if any(len(seat) != people for seat in mode.seats):
                raise ProblemError(f"activity {number} has a seat with wrong numbers")
    for hold in problem.holds:
        if not (-1 <= hold.opens < count and 0 <= hold.closes < count):
            raise ProblemError("a hold begins or ends with an activity that is not there")
        if not 0 <= hold.resource < len(problem.capacities):
            raise ProblemError("a hold takes a resource that is not there")


def _order(activities: Sequence[Activity]) -> tuple[int, ...]:
    """Depth first, so that the order given is kept where it can be."""
    order: list[int] = []
    state = [0] * len(activities)
    for first in range(len(activities)):
        stack = [first]
        while stack:
            number = stack[-1]
            if state[number] == 2:
                stack.pop()
                continue
            waits = [need for need in activities[number].needs if state[need] != 2]
            if any(state[need] == 1 for need in waits):
                raise ProblemError(f"activity {number} needs itself in the end")
            state[number] = 1
            if waits:
                stack.extend(reversed(waits))
            else:
                state[number] = 2
                order.append(number)
                stack.pop()
    return tuple(order)
