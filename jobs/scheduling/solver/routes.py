"""How early the work can end if everybody's ways are whole, by columns of a linear programme.

A route is what one person does one after another: some work in some mode, with the ways between,
in the time until the last end. The programme takes routes, in any fractions, so that all work has
its people. That people of one team must be free at the same time is left out.

Its dual gives work a worth for those who do it. Whatever these numbers are: if all the work is
worth more than all people can earn until a time, nothing ends by then. So the proof needs no
solver: the numbers are whole, and what a person can earn is never counted too little. The solver
and the routes only find numbers that prove much.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from ortools.linear_solver import pywraplp  # type: ignore[import-untyped]

from jobs.scheduling.solver import routing
from jobs.scheduling.solver.pools import People, seat_people, seat_pools, sure_of
from jobs.scheduling.solver.problem import Problem
from jobs.scheduling.solver.rosters import begins
from jobs.scheduling.solver.tables import Array
from loading.planner.stopping import Stop

_SCALE = 1_000_000
_TIMES = 1_200
"""The day in so many units."""
_MOST_BITS = 8
"""So many activities of a place are not done twice in one go."""
_MOST_WORK = 100
_MOST_POOLS = 6
_MOST_NEW = 25
"""So many routes are added at a time for each kind of people."""
_LEFT = 10
"""What it costs to leave work undone, as a share of all people."""


def routed_bound(problem: Problem, *, low: int, high: int, stop: Stop) -> int:
    """No schedule ends before this; `low` holds already, and there is a schedule until `high`.

    `low` where work needs anything but people, or where there is too much of it.
    """
    if not _is_for(problem) or high <= low:
        return low
    return _Search(_Day(problem, high), low, high).bound(stop)


def _is_for(problem: Problem) -> bool:
    if not problem.people or not 0 < len(problem.activities) <= _MOST_WORK:
        return False
    takes = (mode.duration for activity in problem.activities for mode in activity.modes)
    return min(takes) > 0 and len(seat_pools(problem)) <= _MOST_POOLS


@dataclass(frozen=True, slots=True)
class _Kind:
    """People alike: where they are at first, since when, in which pools, and how many they are."""

    home: int
    since: int
    pools: tuple[bool, ...]
    count: int


@dataclass
class _Day:
    """The work by item: an activity in one of its modes. Times are in units, never too long."""

    problem: Problem
    high: int

    def __post_init__(self) -> None:
        activities = self.problem.activities
        self.items = [(a, m) for a, one in enumerate(activities) for m in range(len(one.modes))]
        self.jobs = np.array([a for a, _ in self.items], np.int64)
        self.place_after = np.array([activities[a].place_after for a in self.jobs], np.int64)
        self.pools = seat_pools(self.problem)
        self.kinds = _kinds(self.problem, self.pools)
        durations = [activities[a].modes[m].duration for a, m in self.items]
        self.first = min(kind.since for kind in self.kinds)
        self.unit = max(1, min(*durations, (self.high - self.first) // _TIMES))
        self.times = max(0, self.high - self.first) // self.unit + 1
        ways = np.array(self.problem.travel, np.int64)[:, [activities[a].place for a in self.jobs]]
        self.takes = (ways + np.array(durations, np.int64)) // self.unit

        self.first_state, self.bit = self._remembered()

    def _remembered(self) -> tuple[Array, Array]:
        """The first state of each place, and the bit of each item: the longest work has one."""
        activities = self.problem.activities
        bits: dict[int, int] = {}
        first = [0]
        for place in range(len(self.problem.travel)):
            there = [a for a, activity in enumerate(activities) if activity.place_after == place]
            there.sort(key=lambda a: -max(mode.duration for mode in activities[a].modes))
            bits |= {a: 1 << k for k, a in enumerate(there[:_MOST_BITS])}
            first.append(first[-1] + (1 << min(_MOST_BITS, len(there))))
        return np.array(first, np.int64), np.array([bits.get(a, 0) for a in self.jobs], np.int64)

    @cached_property
    def sure(self) -> Array:
        """How many of each pool an item takes for sure (item, pool)."""
        return np.array(
            [
                [sure_of(activity, activity.modes[m], pool) for pool in self.pools]
                for activity, m in ((self.problem.activities[a], m) for a, m in self.items)
            ],
            np.int64,
        )

    def may(self, kind: _Kind) -> Array:
        """Which items such a person may work on."""
        inside = {pool for pool, is_in in zip(self.pools, kind.pools, strict=True) if is_in}
        return np.array(
            [
                bool(activity.team)
                or any(seat_people(seat) in inside for seat in activity.modes[m].seats)
                for activity, m in ((self.problem.activities[a], m) for a, m in self.items)
            ]
        )

    def units(self, kind: _Kind, end: int) -> int:
        """How many units such a person has until then; -1 where the shift begins later."""
        return max(-1, (end - kind.since) // self.unit)


def _kinds(problem: Problem, pools: Sequence[People]) -> list[_Kind]:
    found: dict[tuple[int, int, tuple[bool, ...]], int] = {}
    for number, person in enumerate(problem.people):
        of = tuple(number in pool for pool in pools)
        key = (person.place, begins(problem, number), of)
        found[key] = found.get(key, 0) + 1
    return [_Kind(*key, count) for key, count in found.items()]


@dataclass
class _Earned:
    """What one person from a home can earn at most by each time, and the ways to it."""

    states: routing.States
    best: Array

    @classmethod
    def of(cls, day: _Day, worth: Array, home: int) -> "_Earned":
        shape = (day.times, int(day.first_state[-1]))
        states = routing.States(*(np.zeros(shape, np.int64) for _ in range(4)))
        routing.spread(worth, day.takes, day.bit, day.place_after, day.first_state, home, states)
        return cls(states, np.maximum.accumulate(states.worth.max(axis=1)))

    def routes(self, times: int) -> list[tuple[tuple[int, ...], int]]:
        """The items of the ways worth most in so many units, and how many each way takes."""
        worths = self.states.worth[: times + 1].ravel()
        most = min(len(worths), 16 * _MOST_NEW)
        ranked = np.argpartition(-worths, most - 1)[:most]
        ranked = ranked[np.argsort(-worths[ranked], kind="stable")]
        ranked = ranked[worths[ranked] > 0]
        at = np.array(np.unravel_index(ranked, self.states.worth.shape)).T.tolist()
        return [(self._route(time, state), time) for time, state in at]

    def _route(self, time: int, state: int) -> tuple[int, ...]:
        items: list[int] = []
        while (item := int(self.states.item[time, state])) >= 0:
            items.append(item)
            time, state = (
                int(self.states.from_time[time, state]),
                int(self.states.from_state[time, state]),
            )
        return tuple(sorted(items))


@dataclass
class _Programme:
    """The least share of the people that does all work by `end`, with the routes known so far."""

    day: _Day
    end: int
    routes: list[dict[tuple[int, ...], int]]

    def __post_init__(self) -> None:
        day, solver = self.day, pywraplp.Solver.CreateSolver("GLOP")
        self.solver = solver
        self.share = solver.NumVar(0, solver.infinity(), "")
        self.once = [solver.Constraint(1, solver.infinity()) for _ in day.problem.activities]
        self.needed = [
            [solver.Constraint(0, solver.infinity()) for _ in day.pools] for _ in day.items
        ]
        self.people = [solver.Constraint(-solver.infinity(), 0) for _ in day.kinds]
        for kind, row in zip(day.kinds, self.people, strict=True):
            row.SetCoefficient(self.share, -kind.count)
        self._add_work()
        for number, routes in enumerate(self.routes):
            for route, units in routes.items():
                if units <= day.units(day.kinds[number], self.end):
                    self._take(number, route)

    def _add_work(self) -> None:
        """Every activity is done in its modes, or left where the routes known do not reach."""
        day, solver, aim = self.day, self.solver, self.solver.Objective()
        aim.SetMinimization()
        aim.SetCoefficient(self.share, 1)
        for (activity, _), rows, sure in zip(day.items, self.needed, day.sure, strict=True):
            done = solver.NumVar(0, 1, "")
            self.once[activity].SetCoefficient(done, 1)
            for row, count in zip(rows, sure.tolist(), strict=True):
                row.SetCoefficient(done, -count)
        for row in self.once:
            left = solver.NumVar(0, 1, "")
            row.SetCoefficient(left, 1)
            aim.SetCoefficient(left, _LEFT)

    def add(self, kind: int, route: tuple[int, ...], units: int) -> bool:
        """Whether the route was not known yet."""
        if self.routes[kind].get(route, units + 1) <= units:
            return False
        self.routes[kind][route] = units
        self._take(kind, route)
        return True

    def _take(self, kind: int, route: tuple[int, ...]) -> None:
        day = self.day
        times = self.solver.NumVar(0, self.solver.infinity(), "")
        self.people[kind].SetCoefficient(times, 1)
        for item, count in Counter(route).items():
            for row, is_in in zip(self.needed[item], day.kinds[kind].pools, strict=True):
                if is_in:
                    row.SetCoefficient(times, count)

    def prices(self) -> tuple[float, Array] | None:
        """The share, and what one of each pool is worth on each item, in whole numbers."""
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        duals = np.array([[row.dual_value() for row in rows] for rows in self.needed])
        prices = np.maximum(0, np.rint(duals * _SCALE)).astype(np.int64)
        return float(self.solver.Objective().Value()), prices


@dataclass
class _Search:
    """Prices that prove more and more; `low` is what is proved."""

    day: _Day
    low: int
    high: int
    earned: dict[tuple[int, tuple[bool, ...]], _Earned] = field(default_factory=dict)

    def bound(self, stop: Stop) -> int:
        """The programme is asked for an end between what is proved and what it cannot prove."""
        known: list[dict[tuple[int, ...], int]] = [{} for _ in self.day.kinds]
        ceiling, rounds = self.high, 0
        programme = self._programme((self.low + self.high) // 2, known)
        while not stop.reached(rounds) and ceiling - self.low > self.day.unit:
            rounds += 1
            answer = programme.prices()
            if answer is None:
                break
            share, prices = answer
            work = self._price(prices)
            self.low = max(self.low, self._proved(work))
            news = self._new_routes(programme)
            if share >= 1 and self.low < programme.end:
                if news:
                    continue
                break
            ceiling = programme.end if share < 1 else ceiling
            programme = self._programme((self.low + ceiling) // 2, known)
        return self.low

    def _programme(self, end: int, known: list[dict[tuple[int, ...], int]]) -> _Programme:
        programme = _Programme(self.day, end, known)
        for number, kind in enumerate(self.day.kinds):
            takes, may = self.day.takes[kind.home], self.day.may(kind)
            for item in range(len(self.day.items)):
                if may[item] and takes[item] <= self.day.units(kind, end):
                    programme.add(number, (item,), int(takes[item]))
        return programme

    def _price(self, prices: Array) -> int:
        """What the work is worth; and for all kinds of people what they can earn of it."""
        day, self.earned = self.day, {}
        each = (day.sure * prices).sum(axis=1)
        least = [each[day.jobs == job].min() for job in range(len(day.problem.activities))]
        for kind in day.kinds:
            key = (kind.home, kind.pools)
            if key not in self.earned:
                worth = np.where(day.may(kind), prices[:, list(kind.pools)].sum(axis=1), 0)
                self.earned[key] = _Earned.of(day, worth, kind.home)
        return int(sum(least))

    def _proved(self, work: int) -> int:
        """The last time by which all together cannot have earned what the work is worth, and 1."""
        low, high = self.low - 1, self.high
        while high - low > 1:
            middle = (low + high) // 2
            if self._all_earned(middle) < work:
                low = middle
            else:
                high = middle
        return low + 1

    def _all_earned(self, end: int) -> int:
        total = 0
        for kind in self.day.kinds:
            units = self.day.units(kind, end)
            best = self.earned[kind.home, kind.pools].best
            total += kind.count * int(best[min(units, len(best) - 1)]) if units >= 0 else 0
        return total

    def _new_routes(self, programme: _Programme) -> int:
        """How many of the ways worth most were not known to the programme."""
        news = 0
        for number, kind in enumerate(self.day.kinds):
            units, added = self.day.units(kind, programme.end), 0
            if units < 0:
                continue
            for route, takes in self.earned[kind.home, kind.pools].routes(units):
                added += programme.add(number, route, takes)
                if added >= _MOST_NEW:
                    break
            news += added
        return news
