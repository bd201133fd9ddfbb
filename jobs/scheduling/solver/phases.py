"""How early all can end if the first and the last work cannot be had at any time, in one programme.

As in `dividing`, people share the work in any fractions. But time is cut near its beginning and
near its end, where there is little that few people can do: nobody carries before the first vault
is there, and in the end only those who load the last piece have anything to do. Between the cuts
lies one long phase whose length depends on the last end; most work sees nothing but that one.

In each phase everybody has so much time as it lasts. No activity gets more of a phase than lies
between the earliest it can begin and the latest it can end, and up to each cut no greater part of
it is done than of what it needs. People are at the same places when a phase ends and when the next
begins. Somebody in the middle of some work is partly where it begins and partly where it ends.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from ortools.linear_solver import pywraplp  # type: ignore[import-untyped]

from jobs.scheduling.solver.pools import MOST_KINDS, kinds_of, likeness, may_sit
from jobs.scheduling.solver.problem import Absence, Activity, Mode, Problem
from jobs.scheduling.solver.seating import shares_of

_CUTS = 5
_MOST_NEAR = 30
"""So many activities at most see more than the middle for the sake of either end."""


def phased_bound(problem: Problem, heads: Sequence[int], tails: Sequence[int], bound: int) -> int:
    """No schedule ends earlier; `bound` holds already.

    `heads` are when people set off for each activity at the earliest, `tails` the shortest times
    from then to the last end. 0 where there are too many kinds of people, or no answer.
    """
    if not problem.people or bound <= 0:
        return 0
    kinds = kinds_of(problem)
    if len(kinds) > MOST_KINDS:
        return 0
    return _Programme(problem, _Windows.of(problem, heads, tails), bound, kinds).least_end()


@dataclass(frozen=True, slots=True)
class _Windows:
    """For each activity when people set off at the earliest, when it begins at the earliest,
    and how long before the last end it begins and ends at the latest."""

    heads: list[int]
    begins: list[int]
    lasts: list[int]
    ends: list[int]

    @classmethod
    def of(cls, problem: Problem, heads: Sequence[int], tails: Sequence[int]) -> "_Windows":
        activities = problem.activities
        shortest = [min(mode.duration for mode in a.modes) for a in activities]
        ends = [
            max((tails[follower] for follower in those), default=0) for those in problem.followers
        ]
        lasts = [end + short for end, short in zip(ends, shortest, strict=True)]
        begins = [h + t - last for h, t, last in zip(heads, tails, lasts, strict=True)]
        return cls(list(heads), begins, lasts, ends)

    def is_near(self, number: int, after: int, before: int) -> bool:
        """Whether it can begin before the last cut after the beginning or end behind the other."""
        return self.begins[number] < after or self.ends[number] < before


@dataclass(frozen=True, slots=True)
class _Phase:
    """From when until when; where `before_end`, as times before the last end."""

    since: int
    until: int
    before_end: bool = False

    def room(self, low: int, high: int) -> int:
        """How much of it lies after `low` and longer than `high` before the last end."""
        if self.before_end:
            return max(0, self.since - max(self.until, high))
        return max(0, self.until - max(self.since, low))

    def away(self, absences: Sequence[Absence]) -> int:
        if self.before_end:
            return 0
        there = (min(self.until, back) - max(self.since, away) for away, back in absences)
        return sum(max(0, time) for time in there)


@dataclass(slots=True)
class _Programme:
    """The variables are shares of seats and ways by kind of people and phase, and the last end."""

    problem: Problem
    windows: _Windows
    bound: int
    kinds: list[list[int]]
    early: list[int] = field(init=False)
    late: list[int] = field(init=False)
    phases: list[_Phase | None] = field(init=False)
    solver: pywraplp.Solver = field(init=False)
    end: pywraplp.Variable = field(init=False)
    whole: list[pywraplp.Constraint] = field(init=False, default_factory=list)
    time: dict[tuple[int, int], pywraplp.Constraint] = field(init=False, default_factory=dict)
    moves: dict[tuple[int, int, int], pywraplp.Constraint] = field(init=False, default_factory=dict)
    parts: dict[tuple[int, int], list[pywraplp.Variable]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        """Cut the time; the phase in the middle is None."""
        self.early, self.late = self._cuts(self.windows.begins), self._cuts(self.windows.ends)
        at_first = [_Phase(*cut) for cut in zip(self.early, self.early[1:], strict=False)]
        in_the_end = [_Phase(*cut, True) for cut in zip(self.late[1:], self.late, strict=False)]
        self.phases = [*at_first, None, *reversed(in_the_end)]

    def _cuts(self, times: Sequence[int]) -> list[int]:
        """The first of the times, in the half nearer to them and with few activities before."""
        ordered = sorted(times)
        most = ordered[_MOST_NEAR] if len(ordered) > _MOST_NEAR else ordered[-1]
        found = sorted({0, *times})[: _CUTS + 1]
        return [time for time in found if time == 0 or (time <= most and 2 * time <= self.bound)]

    def least_end(self) -> int:
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        self.end = self.solver.NumVar(self.bound, self.solver.infinity(), "")
        for kind in range(len(self.kinds)):
            self._add_people(kind)
        near = [
            self.windows.is_near(number, self.early[-1], self.late[-1])
            for number in range(len(self.problem.activities))
        ]
        alike: dict[object, list[int]] = defaultdict(list)
        for number, activity in enumerate(self.problem.activities):
            alike[number if near[number] else likeness(activity)].append(number)
        for numbers in alike.values():
            self._add_work(numbers[0], len(numbers))
        self._add_needs(near)
        self.solver.Minimize(self.end)
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            return 0
        # A little less, for the solver's numbers are not exact.
        return int(self.solver.Objective().Value() - 1e-4) + 1

    def _add_people(self, kind: int) -> None:
        person, count = self.problem.people[self.kinds[kind][0]], len(self.kinds[kind])
        work = [n for n in range(len(self.problem.activities)) if self._has_work(n, kind)]
        first = min((self.windows.heads[number] for number in work), default=0)
        last = min((self.windows.lasts[number] for number in work), default=0)
        away = sum(
            back - max(since, first)
            for since, back in person.absences
            if first < back <= self.bound
        )
        self.whole.append(self._time(count, first + away, until_end=True))
        for number, phase in enumerate(self.phases):
            if phase is None:
                lost = self.early[-1] + self.late[-1] + self._away_between(person.absences)
                self.time[kind, number] = self._time(count, lost, until_end=True)
            else:
                lasts = abs(phase.until - phase.since) - phase.away(person.absences)
                self.time[kind, number] = self._time(count, -lasts, until_end=False)
        self._add_places(kind, person.place)
        for number in range(len(self.phases)):
            self._add_ways(kind, number, first, last)

    def _has_work(self, number: int, kind: int) -> bool:
        activity, person = self.problem.activities[number], self.kinds[kind][0]
        return any(may_sit(activity, seat, person) for m in activity.modes for seat in m.seats)

    def _away_between(self, absences: Sequence[Absence]) -> int:
        """The absences that are sure to lie in the middle."""
        return sum(
            max(0, back - max(since, self.early[-1]))
            for since, back in absences
            if back <= self.bound - self.late[-1]
        )

    def _time(self, count: int, lost: int, *, until_end: bool) -> pywraplp.Constraint:
        """What so many people have, but for what is lost; what takes time is taken from it."""
        time = self.solver.Constraint(count * lost, self.solver.infinity())
        if until_end:
            time.SetCoefficient(self.end, count)
        return time

    def _add_places(self, kind: int, home: int) -> None:
        """How many are at each place when a phase begins and ends."""
        solver, count = self.solver, len(self.kinds[kind])
        for place in range(len(self.problem.travel)):
            there = count * int(place == home)
            at = solver.NumVar(there, there, "")
            for number in range(len(self.phases)):
                move = self.moves[kind, number, place] = solver.Constraint(0, 0)
                move.SetCoefficient(at, 1)
                at = solver.NumVar(0, count, "")
                move.SetCoefficient(at, -1)

    def _add_ways(self, kind: int, number: int, first: int, last: int) -> None:
        """Nobody sets off before there is work, or when all of it must have begun."""
        solver, phase, places = self.solver, self.phases[number], range(len(self.problem.travel))
        takers = [self.time[kind, number], self.whole[kind]]
        if phase is not None:
            room = len(self.kinds[kind]) * phase.room(first, last)
            takers.append(solver.Constraint(-room, solver.infinity()))
        for one in places:
            for other in places:
                if one != other:
                    way = solver.NumVar(0, solver.infinity(), "")
                    self.moves[kind, number, one].SetCoefficient(way, -1)
                    self.moves[kind, number, other].SetCoefficient(way, 1)
                    for taker in takers:
                        taker.SetCoefficient(way, -self.problem.travel[one][other])

    def _add_work(self, number: int, count: int) -> None:
        """So many activities alike, each in parts that are done in phases and modes."""
        activity = self.problem.activities[number]
        once = self.solver.Constraint(count, count)
        for at, phase in enumerate(self.phases):
            inside = None
            if phase is not None:
                room = phase.room(self.windows.begins[number], self.windows.ends[number])
                if not room:
                    continue
                inside = self.solver.Constraint(-self.solver.infinity(), room)
            for mode in activity.modes:
                part = self.solver.NumVar(0, count, "")
                self.parts.setdefault((number, at), []).append(part)
                once.SetCoefficient(part, 1)
                if inside is not None:
                    inside.SetCoefficient(part, mode.duration)
                self._add_seats(activity, mode, at, part)

    def _add_seats(self, activity: Activity, mode: Mode, at: int, part: pywraplp.Variable) -> None:
        for kind, share in shares_of(self.solver, activity, mode, self.kinds, part):
            self.time[kind, at].SetCoefficient(share, -mode.duration)
            self.whole[kind].SetCoefficient(share, -mode.duration)
            if activity.place != activity.place_after:
                self.moves[kind, at, activity.place].SetCoefficient(share, -1)
                self.moves[kind, at, activity.place_after].SetCoefficient(share, 1)

    def _add_needs(self, near: Sequence[bool]) -> None:
        """Up to each cut no greater part of an activity is done than of what it needs."""
        for number, activity in enumerate(self.problem.activities):
            for need in activity.needs:
                if near[number] and near[need]:
                    for cut in range(1, len(self.phases)):
                        behind = self.solver.Constraint(-self.solver.infinity(), 0)
                        for at in range(cut):
                            for part in self.parts.get((number, at), ()):
                                behind.SetCoefficient(part, 1)
                            for part in self.parts.get((need, at), ()):
                                behind.SetCoefficient(part, -1)
