"""Crews that stay together all day, chosen by integer programming.

A turn of duty is a few jobs that one crew does one after another, from the beginning of a shift.
For a last end that is asked for, each turn has a least size of crew. Turns are chosen so that
every job is in one, and that there are people enough for all whose shifts have begun by then.
Where that leaves no choice the end is asked for later, else earlier.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import permutations

from ortools.linear_solver import pywraplp  # type: ignore[import-untyped]

from jobs.scheduling.solver.bounds import lower_bound
from jobs.scheduling.solver.pools import People, seat_pools, sure_of
from jobs.scheduling.solver.problem import Activity, Problem
from loading.planner.stopping import Stop

_MOST_TURNS = 40_000
"""So many turns can be chosen from in good time."""
_MOST_PLACES = 2
_MOST_ROWS = 40
_KEPT = 800
"""So many turns, the most promising of the linear programme, are chosen from in whole numbers."""
_NODES = 100
_CLOSE, _STEP = 0.0003, 0.001
"""Parts of the day: by so little the end need not be found earlier, and by so much it is tried."""

Crew = tuple[tuple[int, ...], tuple[int, ...]]
"""Its people and its jobs in turn."""


def rostered(problem: Problem, *, stop: Stop) -> list[Crew] | None:
    """Crews that end as early as was found until `stop`; None where this way is not for it.

    That is where jobs need each other or anything but people, and where there are too many ways
    to put them in turn. Not everybody need be in a crew.
    """
    if not _is_for(problem):
        return None
    turns = _Turns(problem)
    if not turns.found or len(turns.rows) > _MOST_ROWS:
        return None
    return _Search(turns).crews(stop)


def _is_for(problem: Problem) -> bool:
    if not problem.activities or not problem.people or problem.holds:
        return False
    return not any(
        activity.needs or activity.team or not all(mode.seats for mode in activity.modes)
        for activity in problem.activities
    ) and not any(any(mode.amounts) for activity in problem.activities for mode in activity.modes)


@dataclass(frozen=True, slots=True)
class Turn:
    """Jobs in the order in which a crew does them that begins at `since`; `ends` by its size."""

    jobs: tuple[int, ...]
    since: int
    ends: tuple[tuple[int, int], ...]

    def least(self, end: int) -> int | None:
        """The smallest crew that ends by then."""
        return min((size for size, ends in self.ends if ends <= end), default=None)


@dataclass
class _Turns:
    """All turns worth a look, and the people that they share: those of a pool by when they come."""

    problem: Problem
    found: list[Turn] = field(init=False, default_factory=list)
    many: bool = field(init=False, default=False)

    def __post_init__(self) -> None:
        self.low = lower_bound(self.problem)
        self.horizon = self.latest()
        self._extend((), 0)
        if self.many:
            self.found = []

    @cached_property
    def since(self) -> list[int]:
        """When each person's shift begins."""
        return [begins(self.problem, person) for person in range(len(self.problem.people))]

    @cached_property
    def beginnings(self) -> list[int]:
        return sorted(set(self.since))

    @cached_property
    def from_home(self) -> list[int]:
        """The way to each place for who lives farthest from it."""
        homes = {person.place for person in self.problem.people}
        places = range(len(self.problem.travel))
        return [max(self.problem.travel[home][place] for home in homes) for place in places]

    @cached_property
    def modes(self) -> list[dict[int, int]]:
        """How long each job takes by the size of crew."""
        return [_by_size(activity) for activity in self.problem.activities]

    @cached_property
    def rows(self) -> list[tuple[People, int]]:
        """A pool, and a time by which some of them have come."""
        return [(pool, time) for pool in seat_pools(self.problem) for time in self.beginnings]

    def latest(self) -> int:
        """A day that lasts so much longer than the bound is not worth a look."""
        first = min(self.since)
        return first + round(1.15 * (self.low - first))

    def _extend(self, jobs: tuple[int, ...], following: int) -> None:
        for job in range(following, len(self.modes)):
            those = (*jobs, job)
            places = {self.problem.activities[one].place for one in those}
            if (len(places) > 1 and len(those) > _MOST_PLACES + 1) or len(places) > _MOST_PLACES:
                continue
            turns = [self._turn(those, places, since) for since in self.beginnings]
            if not any(turns):
                continue
            self.found += filter(None, turns)
            self.many = self.many or len(self.found) > _MOST_TURNS
            if self.many:
                return
            self._extend(those, job + 1)

    def _turn(self, jobs: tuple[int, ...], places: set[int], since: int) -> Turn | None:
        sizes = set.intersection(*(set(self.modes[job]) for job in jobs))
        best: dict[int, tuple[int, tuple[int, ...]]] = {}
        for order in permutations(sorted(places)):
            ordered = tuple(sorted(jobs, key=lambda job: self._place_in(order, job)))
            for size in sizes:
                end = self._end(ordered, since, size)
                if end is not None and end < best.get(size, (self.horizon + 1, ()))[0]:
                    best[size] = (end, ordered)
        if not best:
            return None
        order_of_least = best[min(best)][1]
        return Turn(
            order_of_least, since, tuple((size, end) for size, (end, _) in sorted(best.items()))
        )

    def _place_in(self, order: Sequence[int], job: int) -> tuple[int, int]:
        activity = self.problem.activities[job]
        return order.index(activity.place), activity.due or self.horizon

    def _end(self, jobs: Sequence[int], since: int, size: int) -> int | None:
        """When a crew that sets off from home ends; None if it is late."""
        free, where = since, -1
        for job in jobs:
            activity = self.problem.activities[job]
            goes = max(free, activity.release)
            way = self.problem.travel[where] if where >= 0 else self.from_home
            free = goes + way[activity.place] + self.modes[job][size]
            where = activity.place_after
            if activity.due is not None and free > activity.due:
                return None
        return free

    @cached_property
    def sure(self) -> dict[tuple[People, int], list[int]]:
        """How many of a pool each job takes for sure, by the size of crew."""
        return {
            (pool, size): [_sure(activity, size, pool) for activity in self.problem.activities]
            for pool in seat_pools(self.problem)
            for size in {size for sizes in self.modes for size in sizes}
        }

    def wanted(self, turn: Turn, size: int, pool: People) -> int:
        """How many of a crew of that size are of the pool for sure."""
        sure = self.sure[pool, size]
        return max([sure[job] for job in turn.jobs])

    def people_by(self, pool: People, time: int) -> int:
        return sum(self.since[person] <= time for person in pool)


@dataclass
class _Search:
    """Which last end has been found, and before which none was."""

    turns: _Turns
    found: list[Crew] | None = None

    def crews(self, stop: Stop) -> list[Crew] | None:
        first = min(self.turns.since)
        low, high = self.turns.low, self.turns.horizon + 1
        step = max(1, round(_STEP * (high - first)))
        asked, rounds = low, 0
        while not stop.reached(rounds) and high - low > _CLOSE * (high - first):
            rounds += 1
            choice = _Choice(self.turns, asked)
            share = choice.share()
            end = choice.taken() if share <= 1 else None
            if end is not None:
                high, self.found = end, choice.crews
                asked = high - step
            else:
                low = asked
                asked = self._guess(asked, share) if share > 1 else asked + step
            if not low < asked < high:
                asked = (low + high) // 2
        return self.found

    def _guess(self, end: int, share: float) -> int:
        """The end for which there are people enough: they are needed as their time is short."""
        middle = sum(self.turns.since) / len(self.turns.since)
        return int(middle + (end - middle) * share * (1 + _CLOSE)) + 1


@dataclass
class _Choice:
    """The turns that end by `end`, each with its least crew, and a choice among them."""

    turns: _Turns
    end: int
    crews: list[Crew] | None = None
    promise: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        sized = ((turn, turn.least(self.end)) for turn in self.turns.found)
        self.sized = [(turn, size) for turn, size in sized if size is not None]

    def share(self) -> float:
        """The part of the people that would do, if crews could be divided; more than 1 will not."""
        solver = pywraplp.Solver.CreateSolver("GLOP")
        share = solver.NumVar(0, solver.infinity(), "")
        variables = [solver.NumVar(0, solver.infinity(), "") for _ in self.sized]
        self._limit(solver, self.sized, variables, share)
        solver.Minimize(share)
        if solver.Solve() != pywraplp.Solver.OPTIMAL:
            return 2.0
        self.promise = [variable.reduced_cost() for variable in variables]
        return float(share.solution_value())

    def taken(self) -> int | None:
        """The last end of a choice in whole numbers, if there is one; `crews` are its crews."""
        ranked = sorted(range(len(self.sized)), key=lambda k: self.promise[k])[:_KEPT]
        sized = [self.sized[k] for k in ranked]
        solver = pywraplp.Solver.CreateSolver("SCIP")
        solver.SetSolverSpecificParametersAsString(f"limits/nodes = {_NODES}\n")
        variables = [solver.BoolVar("") for _ in sized]
        self._limit(solver, sized, variables, None)
        if solver.Solve() not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
            return None
        chosen = [
            one for one, taken in zip(sized, variables, strict=True) if taken.solution_value() > 0.5
        ]
        self.crews = _manned(self.turns, chosen)
        return max(dict(turn.ends)[size] for turn, size in chosen) if self.crews else None

    def _limit(
        self,
        solver: pywraplp.Solver,
        sized: Sequence[tuple[Turn, int]],
        variables: Sequence[pywraplp.Variable],
        share: pywraplp.Variable | None,
    ) -> None:
        jobs = [solver.Constraint(1, 1) for _ in self.turns.modes]
        rows = []
        for pool, time in self.turns.rows:
            there = self.turns.people_by(pool, time)
            row = solver.Constraint(-solver.infinity(), 0 if share else there)
            if share:
                row.SetCoefficient(share, -there)
            rows.append((pool, time, row))
        for (turn, size), variable in zip(sized, variables, strict=True):
            for job in turn.jobs:
                jobs[job].SetCoefficient(variable, 1)
            for pool, time, row in rows:
                if turn.since <= time and (wanted := self.turns.wanted(turn, size, pool)):
                    row.SetCoefficient(variable, wanted)


def _manned(turns: _Turns, chosen: Sequence[tuple[Turn, int]]) -> list[Crew] | None:
    """People for the crews: who is in demand first, the crews in the order in which they begin."""
    pools = sorted(seat_pools(turns.problem), key=len)
    chosen = sorted(chosen, key=lambda one: one[0].since)
    free = set(range(len(turns.since)))
    crews: list[list[int]] = [[] for _ in chosen]
    rare = {person: sum(person in pool for pool in pools) for person in free}
    for pool in pools:
        for crew, (turn, size) in zip(crews, chosen, strict=True):
            lacks = turns.wanted(turn, size, pool) - len(pool.intersection(crew))
            able = [p for p in pool & free if turns.since[p] <= turn.since]
            able.sort(key=lambda person: (rare[person], -turns.since[person], person))
            if len(able) < lacks:
                return None
            for person in able[: max(0, lacks)]:
                crew.append(person)
                free.remove(person)
    return [(tuple(sorted(crew)), turn.jobs) for crew, (turn, _) in zip(crews, chosen, strict=True)]


def begins(problem: Problem, person: int) -> int:
    """When somebody's shift begins."""
    return max((back for away, back in problem.people[person].absences if away <= 0), default=0)


def _by_size(activity: Activity) -> dict[int, int]:
    """How long an activity takes by the size of crew, as far as there are people for the seats."""
    takes: dict[int, int] = {}
    for mode in activity.modes:
        if sure_of(activity, mode, frozenset()):
            continue
        size = len(mode.seats)
        takes[size] = min(takes.get(size, mode.duration), mode.duration)
    return takes


def _sure(activity: Activity, size: int, pool: People) -> int:
    sizes = [mode for mode in activity.modes if len(mode.seats) == size]
    return max((sure_of(activity, mode, pool) for mode in sizes), default=0)
