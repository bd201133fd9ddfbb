"""A day by crews that stay together: who is with whom, and which jobs each crew does in turn.

People of one crew are free at the same time, so nobody waits for another between two jobs. Found by
simulated annealing, see `crewing`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from jobs.scheduling.solver import crewing
from jobs.scheduling.solver.problem import Activity, Mode, Person, Problem, Schedule, Start
from jobs.scheduling.solver.rosters import Crew, begins
from jobs.scheduling.solver.tables import Array, Tables, tables_of
from loading.planner.stopping import Iterations, Stop

_TRIES = 2000
"""Changes between two looks at the stopping rule."""
_HOT_S, _WARM_S, _COLD_S = 150.0, 15.0, 10.0
_NEAR_AT_FIRST_S, _NEAR_S = 800.0, 200.0
"""Crews that end so much before the last count about a third of it."""


def scheduled_by_crews(
    problem: Problem, *, seed: int, stop: Stop, first: Sequence[Crew] | None = None
) -> Schedule | None:
    """The best schedule found until `stop`; None where no crews were found that can do all.

    For activities that need neither each other nor anything but people. `first` are crews that are
    good already, if there are any: then little that is worse is taken.
    """
    if not problem.activities or not problem.people:
        return None
    search = _Search(problem, seed, list(first or ()))
    rounds = 0
    while not stop.reached(rounds):
        search.advance(rounds, stop.share(rounds))
        rounds += 1
    return search.schedule()


@dataclass(slots=True)
class _Search:
    problem: Problem
    seed: int
    given: list[Crew]
    tables: Tables = field(init=False)
    since: Array = field(init=False)
    crews: crewing.Crews = field(init=False)
    best: crewing.Crews = field(init=False)
    team: Array = field(init=False)

    def __post_init__(self) -> None:
        problem = self.problem
        self.tables = tables_of(problem)
        people = range(len(problem.people))
        self.since = np.array([begins(problem, person) for person in people], np.int64)
        first = self.given or _first_crews(problem)
        self.crews = _arrays(problem, first)
        self.team = np.zeros(self.crews.people.shape[1], np.int64)
        for crew in range(len(first)):
            crewing.cost_of(self.tables, self.since, self.crews, crew, self.team)
        self.best = crewing.Crews(*(values.copy() for values in self.crews))

    def advance(self, rounds: int, share: float) -> None:
        """So many changes; what is worse is taken less and less, and the last end counts more."""
        hot = _WARM_S if self.given else _HOT_S
        heat = hot * (_COLD_S / hot) ** share
        near = _NEAR_AT_FIRST_S * (_NEAR_S / _NEAR_AT_FIRST_S) ** share
        step = (self.seed * 1_000_003 + rounds) % (1 << 31)
        crewing.change(
            self.tables, self.since, self.crews, self.best, self.team, near, heat, _TRIES, step
        )

    def schedule(self) -> Schedule | None:
        best = self.best
        if best.cost.max() >= crewing.CANNOT:
            return None
        starts: list[Start | None] = [None] * len(self.problem.activities)
        for crew in range(len(best.size) - 2):
            where = -1
            free = int(
                max(
                    (self.since[person] for person in _row(best.people, best.size, crew)), default=0
                )
            )
            for job in _row(best.jobs, best.turns, crew):
                mode = crewing.seated(self.tables, best, crew, job, self.team)
                activity = self.problem.activities[job]
                goes = max(free, activity.release)
                begins = goes + int(crewing.way(self.tables, best, crew, where, activity.place))
                mode -= int(self.tables.mode_at[job])
                free, where = begins + activity.modes[mode].duration, activity.place_after
                team = tuple(self.team[: best.size[crew]].tolist())
                starts[job] = Start(mode, goes, begins, free, team)
        return Schedule(tuple(starts))


def _row(rows: Array, lengths: Array, row: int) -> list[int]:
    return list(rows[row, : lengths[row]].tolist())


def _arrays(problem: Problem, those: list[Crew]) -> crewing.Crews:
    """The crews as arrays, with room for one more person than any mode has seats."""
    most = 1 + max(len(mode.seats) for activity in problem.activities for mode in activity.modes)
    most = max(most, *(len(people) for people, _ in those))
    count = len(those) + 2
    crews = crewing.Crews(
        people=np.zeros((count, most), np.int64),
        size=np.zeros(count, np.int64),
        jobs=np.zeros((count, len(problem.activities)), np.int64),
        turns=np.zeros(count, np.int64),
        cost=np.zeros(count),
    )
    for number, (people, jobs) in enumerate(those):
        crews.people[number, : len(people)] = people
        crews.size[number] = len(people)
        crews.jobs[number, : len(jobs)] = jobs
        crews.turns[number] = len(jobs)
    return crews


def _first_crews(problem: Problem) -> list[Crew]:
    """People by the beginning of their shifts, one in demand in each crew, and the jobs dealt."""
    by_shift = sorted(range(len(problem.people)), key=lambda person: begins(problem, person))
    wanted = [_wanted(problem, person) for person in range(len(problem.people))]
    leaders = sum(2 * those >= max(wanted) for those in wanted)
    smallest = min(len(mode.seats) for activity in problem.activities for mode in activity.modes)
    crews = len(problem.people) // max(1, smallest)
    count = max(1, min(len(problem.activities), leaders, crews))
    leads = sorted(by_shift, key=lambda person: -wanted[person])[:count]
    leads.sort(key=by_shift.index)
    rest = [person for person in by_shift if person not in leads]
    share = len(rest) / count
    people = [
        tuple(sorted([leads[k], *rest[round(k * share) : round((k + 1) * share)]]))
        for k in range(count)
    ]
    return list(zip(people, _dealt(problem, count), strict=True))


def _wanted(problem: Problem, person: int) -> int:
    """How many activities somebody could lead."""
    first = [activity.modes[0].seats[:1] for activity in problem.activities]
    return sum(seat[person] >= 0 for seats in first for seat in seats)


def _dealt(problem: Problem, count: int) -> list[tuple[int, ...]]:
    """The longest jobs first, each to who has least; what is due early comes first."""
    takes = [activity.modes[-1].duration for activity in problem.activities]
    jobs: list[list[int]] = [[] for _ in range(count)]
    for number in sorted(range(len(takes)), key=lambda job: -takes[job]):
        min(jobs, key=lambda those: sum(takes[job] for job in those)).append(number)
    never = max((activity.due or 0 for activity in problem.activities), default=0)
    return [
        tuple(sorted(those, key=lambda job: problem.activities[job].due or never)) for those in jobs
    ]


def warm() -> None:
    """Compile what is compiled, or load it."""
    seats = ((0,),)
    scheduled_by_crews(
        Problem((Activity((Mode(1, (), seats),)),), people=(Person(),)), seed=1, stop=Iterations(1)
    )
