"""How early the work can end however it is divided among the people, by a linear programme.

Everybody has so much time between the first work there can be and the last end. In it lies the
work that falls to the person, in any fractions, and the ways between where work leaves people and
where other work begins: as many come to a place as leave it. That nobody can be in two places and
what must come before what is left out, so that no schedule ends before the programme does. People
between whom it sees no difference are counted together, which changes nothing of its end.

Where all work leaves people where it began, ways would cost nothing if that were all: some would
never leave home, and others would never have come. So whoever works at a place has come there, and
stays from then until the last end at most. How long that is depends on the end, so the programme
is solved again with the end that it gave.
"""

from collections import defaultdict
from dataclasses import dataclass, field

from ortools.linear_solver import pywraplp  # type: ignore[import-untyped]

from jobs.scheduling.solver.pools import MOST_KINDS, kinds_of, likeness, may_sit
from jobs.scheduling.solver.problem import Activity, Mode, Person, Problem, shortest_ways
from jobs.scheduling.solver.seating import shares_of

_VISITS = 4
"""So often it is solved again; the end changes by little after the second time."""


def divided_bound(problem: Problem, heads: list[int], bound: int) -> int:
    """No schedule ends earlier; `heads` are when each activity can begin, `bound` holds already.

    0 where there are too many kinds of people or the solver gives no answer.
    """
    if not problem.people or not problem.activities:
        return 0
    kinds = kinds_of(problem)
    if len(kinds) > MOST_KINDS:
        return 0
    end = _Programme(problem, heads, bound, kinds).least_end()
    return _with_visits(problem, heads, end, kinds) if end and stays_put(problem) else end


def _with_visits(problem: Problem, heads: list[int], bound: int, kinds: list[list[int]]) -> int:
    """The end with longest visits: they are shorter if the end is earlier, so it is closed in on.

    If the programme ends at `end` with visits until `latest`, none can end before both.
    """
    latest, late = bound, 0
    for _ in range(_VISITS):
        end = _Programme(problem, heads, bound, kinds, latest).least_end()
        bound = max(bound, min(end, latest))
        if end < latest:
            late = latest
        if bound < end:
            latest = end
        else:
            latest = (bound + late) // 2 if late else 2 * bound
        if not end or latest <= bound:
            break
    return bound


@dataclass(frozen=True, slots=True)
class Price:
    """What a second of each of these people is worth, and what is paid for leaving each place."""

    people: tuple[int, ...]
    second: float
    leaving: tuple[float, ...]


def prices_of(problem: Problem) -> list[Price]:
    """The dual of the programme, for each kind of people; nothing where there is none.

    The seconds of all people together are worth 1.
    """
    kinds = kinds_of(problem)
    if not 0 < len(kinds) <= MOST_KINDS:
        return []
    programme = _Programme(problem, [0] * len(problem.activities), 0, kinds)
    if not programme.least_end():
        return []
    seconds = [max(0.0, time.dual_value()) for time in programme.time]
    total = sum(len(people) * one for people, one in zip(kinds, seconds, strict=True))
    return [
        Price(tuple(people), second / total, tuple(place.dual_value() / total for place in places))
        for people, second, places in zip(kinds, seconds, programme.leave, strict=True)
        if total > 0
    ]


@dataclass(slots=True)
class _Programme:
    """The variables are shares of seats and ways by kind of people, and the last end.

    With `latest`, nobody stays at a place after that; the end is `latest` where that cannot be.
    """

    problem: Problem
    heads: list[int]
    bound: int
    kinds: list[list[int]]
    latest: int | None = None
    solver: pywraplp.Solver = field(init=False)
    end: pywraplp.Variable = field(init=False)
    time: list[pywraplp.Constraint] = field(init=False, default_factory=list)
    leave: list[list[pywraplp.Constraint]] = field(init=False, default_factory=list)
    come: list[list[pywraplp.Constraint]] = field(init=False, default_factory=list)
    visit: list[list[pywraplp.Constraint]] = field(init=False, default_factory=list)

    def least_end(self) -> int:
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        self.end = self.solver.NumVar(self.bound, self.solver.infinity(), "")
        for people in self.kinds:
            self._add_people(people)
        alike: dict[tuple[object, ...], list[int]] = defaultdict(list)
        for number, activity in enumerate(self.problem.activities):
            alike[likeness(activity)].append(number)
        for numbers in alike.values():
            self._add_work(self.problem.activities[numbers[0]], len(numbers))
        self.solver.Minimize(self.end)
        status = self.solver.Solve()
        if status == pywraplp.Solver.INFEASIBLE and self.latest is not None:
            return self.latest
        if status != pywraplp.Solver.OPTIMAL:
            return 0
        # A little less, for the solver's numbers are not exact.
        return int(self.solver.Objective().Value() - 1e-4) + 1

    def _add_people(self, people: list[int]) -> None:
        solver, places, count = self.solver, range(len(self.problem.travel)), len(people)
        person = self.problem.people[people[0]]
        first = self._first(people[0])
        away = sum(
            back - max(since, first)
            for since, back in person.absences
            if first < back <= self.bound
        )
        time = solver.Constraint(count * (first + away), solver.infinity())
        time.SetCoefficient(self.end, count)
        stays = solver.Constraint(count, count)
        leave, come = [], []
        for place in places:
            here = count * int(person.place == place)
            leave.append(solver.Constraint(here, here))
            come.append(solver.Constraint(0, 0))
            stay = solver.NumVar(0, count, "")
            stays.SetCoefficient(stay, 1)
            leave[place].SetCoefficient(stay, 1)
        self.time.append(time)
        self.leave.append(leave)
        self.come.append(come)
        longest = self._longest_stays(person, first)
        self.visit.append(
            [
                solver.Constraint(-count * int(person.place == place) * long, solver.infinity())
                for place, long in enumerate(longest)
            ]
        )
        for one in places:
            for other in places:
                self._add_way(one, other, longest)

    def _add_way(self, one: int, other: int, longest: list[int]) -> None:
        """A way of the kind of people that was added last."""
        way = self.solver.NumVar(0, self.solver.infinity(), "")
        self.leave[-1][one].SetCoefficient(way, 1)
        self.come[-1][other].SetCoefficient(way, 1)
        self.time[-1].SetCoefficient(way, -self.problem.travel[one][other])
        if longest and one != other:
            self.visit[-1][other].SetCoefficient(way, longest[other])

    def _longest_stays(self, person: Person, first: int) -> list[int]:
        """How long somebody can be at each place at most, from when that could be reached."""
        if self.latest is None:
            return []
        begins = first
        for since, back in sorted(person.absences):
            begins = back if since <= begins < back else begins
        ways = shortest_ways(self.problem.travel)
        return [max(0, self.latest - begins - way) for way in ways[person.place]]

    def _first(self, person: int) -> int:
        """When the first work begins that the person may do."""
        return min(
            (
                head
                for head, activity in zip(self.heads, self.problem.activities, strict=True)
                if any(may_sit(activity, seat, person) for m in activity.modes for seat in m.seats)
            ),
            default=0,
        )

    def _add_work(self, activity: Activity, count: int) -> None:
        """So many activities alike, each in one of its modes."""
        once = self.solver.Constraint(count, count)
        for mode in activity.modes:
            times = self.solver.NumVar(0, count, "")
            once.SetCoefficient(times, 1)
            self._add_seats(activity, mode, times)

    def _add_seats(self, activity: Activity, mode: Mode, times: pywraplp.Variable) -> None:
        for kind, share in shares_of(self.solver, activity, mode, self.kinds, times):
            self.time[kind].SetCoefficient(share, -mode.duration)
            self.come[kind][activity.place].SetCoefficient(share, -1)
            self.leave[kind][activity.place_after].SetCoefficient(share, -1)
            if self.latest is not None:
                self.visit[kind][activity.place].SetCoefficient(share, -mode.duration)


def stays_put(problem: Problem) -> bool:
    apart = any(way for ways in problem.travel for way in ways)
    return apart and all(a.place == a.place_after for a in problem.activities)
