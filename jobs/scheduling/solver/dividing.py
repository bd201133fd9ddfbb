"""How early the work can end however it is divided among the people, by a linear programme.

Everybody has so much time between the first work there can be and the last end. In it lies the
work that falls to the person, in any fractions, and the ways between where work leaves people and
where other work begins: as many come to a place as leave it. That nobody can be in two places and
what must come before what is left out, so that no schedule ends before the programme does.
"""

from collections import defaultdict
from dataclasses import dataclass, field

from ortools.linear_solver import pywraplp  # type: ignore[import-untyped]

from jobs.scheduling.solver.problem import Activity, Mode, Problem

_MOST_PEOPLE = 12
"""For more people the programme takes too long to be looked at by the way."""


def divided_bound(problem: Problem, heads: list[int], bound: int) -> int:
    """No schedule ends earlier; `heads` are when each activity can begin, `bound` holds already.

    0 where there are too many people or the solver gives no answer.
    """
    if not 0 < len(problem.people) <= _MOST_PEOPLE or not problem.activities:
        return 0
    programme = _Programme(problem, heads, bound)
    return programme.least_end()


@dataclass(slots=True)
class _Programme:
    """The variables are shares of seats by person, ways by person, and the last end."""

    problem: Problem
    heads: list[int]
    bound: int
    solver: pywraplp.Solver = field(init=False)
    end: pywraplp.Variable = field(init=False)
    time: list[pywraplp.Constraint] = field(init=False)
    leave: list[list[pywraplp.Constraint]] = field(init=False)
    come: list[list[pywraplp.Constraint]] = field(init=False)

    def least_end(self) -> int:
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        self.end = self.solver.NumVar(self.bound, self.solver.infinity(), "")
        self._add_people()
        alike: dict[tuple[object, ...], list[int]] = defaultdict(list)
        for number, activity in enumerate(self.problem.activities):
            alike[_likeness(activity)].append(number)
        for numbers in alike.values():
            self._add_work(self.problem.activities[numbers[0]], len(numbers))
        self.solver.Minimize(self.end)
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            return 0
        # A little less, for the solver's numbers are not exact.
        return int(self.solver.Objective().Value() - 1e-4) + 1

    def _add_people(self) -> None:
        solver, places = self.solver, range(len(self.problem.travel))
        self.time, self.leave, self.come = [], [], []
        for number, person in enumerate(self.problem.people):
            first = self._first(number)
            away = sum(
                back - max(since, first)
                for since, back in person.absences
                if first < back <= self.bound
            )
            time = solver.Constraint(first + away, solver.infinity())
            time.SetCoefficient(self.end, 1)
            stays = solver.Constraint(1, 1)
            leave, come = [], []
            for place in places:
                here = int(person.place == place)
                leave.append(solver.Constraint(here, here))
                come.append(solver.Constraint(0, 0))
                stay = solver.NumVar(0, 1, "")
                stays.SetCoefficient(stay, 1)
                leave[place].SetCoefficient(stay, 1)
            for one in places:
                for other in places:
                    way = solver.NumVar(0, solver.infinity(), "")
                    leave[one].SetCoefficient(way, 1)
                    come[other].SetCoefficient(way, 1)
                    time.SetCoefficient(way, -self.problem.travel[one][other])
            self.time.append(time)
            self.leave.append(leave)
            self.come.append(come)

    def _first(self, person: int) -> int:
        """When the first work begins that the person may do."""
        return min(
            (
                head
                for head, activity in zip(self.heads, self.problem.activities, strict=True)
                if any(_may(activity, seat, person) for m in activity.modes for seat in m.seats)
            ),
            default=0,
        )

    def _add_work(self, activity: Activity, count: int) -> None:
        """So many activities alike, each in one of its modes."""
        once = self.solver.Constraint(count, count)
        for mode in activity.modes:
            times = self.solver.NumVar(0, count, "")
            once.SetCoefficient(times, 1)
            self._add_seats(activity, mode, times, count)

    def _add_seats(
        self, activity: Activity, mode: Mode, times: pywraplp.Variable, count: int
    ) -> None:
        solver = self.solver
        at_once = {}
        for seat in mode.seats:
            filled = solver.Constraint(0, 0)
            filled.SetCoefficient(times, -1)
            for person in range(len(seat)):
                if not _may(activity, seat, person):
                    continue
                share = solver.NumVar(0, count, "")
                filled.SetCoefficient(share, 1)
                if person not in at_once:
                    at_once[person] = solver.Constraint(-solver.infinity(), 0)
                    at_once[person].SetCoefficient(times, -1)
                at_once[person].SetCoefficient(share, 1)
                self.time[person].SetCoefficient(share, -mode.duration)
                self.come[person][activity.place].SetCoefficient(share, -1)
                self.leave[person][activity.place_after].SetCoefficient(share, -1)


def _may(activity: Activity, seat: tuple[int, ...], person: int) -> bool:
    return person in activity.team if activity.team else seat[person] >= 0


def _likeness(activity: Activity) -> tuple[object, ...]:
    """The same for activities between which the programme sees no difference."""
    ways = tuple(
        (mode.duration, tuple(tuple(rank >= 0 for rank in seat) for seat in mode.seats))
        for mode in activity.modes
    )
    return activity.place, activity.place_after, activity.team, ways
