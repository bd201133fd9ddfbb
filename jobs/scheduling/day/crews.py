"""A day by crews that stay together: who is with whom, and which jobs each crew does in turn.

People of one crew are free at the same time, so nobody waits for another between two jobs. Found by
simulated annealing: jobs and people change crews, what the two crews then take is made up anew.
"""

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from jobs.scheduling.solver.problem import Mode, Problem, Schedule, Start
from loading.planner.stopping import Stop

_TRIES = 200
"""Changes between two looks at the stopping rule."""
_HOT_S, _COLD_S = 600.0, 5.0
_CLOSE_S = 400.0
"""Crews that end so much before the last count about a third of it."""
_LATE, _CANNOT = 20.0, 1e6

Crew = tuple[tuple[int, ...], tuple[int, ...]]
"""Its people and its jobs in turn."""


def scheduled_by_crews(problem: Problem, *, seed: int, stop: Stop) -> Schedule | None:
    """The best schedule found until `stop`; None where no crews were found that can do all.

    For activities that need neither each other nor anything but people.
    """
    if not problem.activities or not problem.people:
        return None
    search = _Search(problem, random.Random(seed))
    rounds = 0
    while not stop.reached(rounds):
        share = stop.share(rounds)
        rounds += 1
        search.advance(_HOT_S * (_COLD_S / _HOT_S) ** share)
    return search.schedule()


@dataclass(slots=True)
class _Search:
    problem: Problem
    rng: random.Random
    crews: list[Crew] = field(init=False)
    costs: list[float] = field(init=False)
    best: list[Crew] = field(init=False)
    least: float = field(init=False)
    seated: dict[tuple[int, tuple[int, ...]], tuple[int, tuple[int, ...]] | None] = field(
        init=False, default_factory=dict
    )

    def __post_init__(self) -> None:
        self.crews = _first_crews(self.problem)
        self.costs = [self._cost(crew) for crew in self.crews]
        self.best, self.least = list(self.crews), max(self.costs)

    def advance(self, heat: float) -> None:
        """So many changes at a temperature in seconds."""
        energy = self._energy(self.costs)
        for _ in range(_TRIES):
            one, other = self._two()
            changed = self._changed(self.crews[one], self.crews[other])
            if changed is None:
                continue
            costs = list(self.costs)
            costs[one], costs[other] = self._cost(changed[0]), self._cost(changed[1])
            then = self._energy(costs)
            if then > energy and self.rng.random() >= math.exp((energy - then) / heat):
                continue
            energy, self.costs = then, costs
            self.crews[one], self.crews[other] = changed
            if max(costs) < self.least:
                self.best, self.least = list(self.crews), max(costs)

    def _two(self) -> tuple[int, int]:
        """Two crews, every second time the one that ends last among them."""
        one = self.rng.randrange(len(self.crews))
        if self.rng.random() < 0.5:
            one = max(range(len(self.costs)), key=self.costs.__getitem__)
        other = self.rng.randrange(len(self.crews))
        return one, other

    def _changed(self, one: Crew, other: Crew) -> tuple[Crew, Crew] | None:
        """A job or a person goes over, or two change places."""
        if one is other:
            return None
        part = int(self.rng.random() < 0.65)
        back = self.rng.random() < 0.5
        here, there = list(one[part]), list(other[part])
        if not here or (back and not there):
            return None
        goes = here.pop(self.rng.randrange(len(here)))
        if back:
            comes = there.pop(self.rng.randrange(len(there)))
            here.insert(self.rng.randint(0, len(here)), comes)
        there.insert(self.rng.randint(0, len(there)), goes)
        if part:
            return (one[0], tuple(here)), (other[0], tuple(there))
        return (tuple(sorted(here)), one[1]), (tuple(sorted(there)), other[1])

    def _energy(self, costs: Sequence[float]) -> float:
        """The last end, and a little of those close to it."""
        most = max(costs)
        return most + _CLOSE_S * math.log(sum(math.exp((c - most) / _CLOSE_S) for c in costs))

    def _cost(self, crew: Crew) -> float:
        """When the crew ends, with a price on what it does late and what it cannot do."""
        cost, end = 0.0, 0
        for number, start in self._starts(crew):
            if start is None:
                cost += _CANNOT
                continue
            end = start.ends
            cost += _LATE * max(0, end - (self.problem.activities[number].due or end))
            cost += sum(
                _CANNOT
                for person in start.team
                for away, back in self.problem.people[person].absences
                if start.goes < back and away < end
            )
        return cost + end

    def _starts(self, crew: Crew) -> Iterator[tuple[int, Start | None]]:
        people, jobs = crew
        problem = self.problem
        free = max((_from(problem, person) for person in people), default=0)
        where = {problem.people[person].place for person in people}
        for number in jobs:
            activity, seats = problem.activities[number], self._seats(number, people)
            if seats is None:
                yield number, None
                continue
            mode, team = seats
            goes = max(free, activity.release)
            begins = goes + max(problem.travel[place][activity.place] for place in where)
            free, where = begins + activity.modes[mode].duration, {activity.place_after}
            yield number, Start(mode, goes, begins, free, team)

    def _seats(self, number: int, people: tuple[int, ...]) -> tuple[int, tuple[int, ...]] | None:
        """The mode for so many people and who sits where; None if they cannot do it."""
        key = number, people
        if key not in self.seated:
            activity = self.problem.activities[number]
            self.seated[key] = next(
                (
                    (mode, team)
                    for mode, way in enumerate(activity.modes)
                    if len(way.seats) == len(people) and (team := _team(way, people)) is not None
                ),
                None,
            )
        return self.seated[key]

    def schedule(self) -> Schedule | None:
        starts: dict[int, Start | None] = {}
        for crew in self.best:
            starts |= dict(self._starts(crew))
        if self.least >= _CANNOT:
            return None
        return Schedule(tuple(starts[number] for number in range(len(self.problem.activities))))


def _team(mode: Mode, people: tuple[int, ...]) -> tuple[int, ...] | None:
    """Everybody in a seat, in the order of the seats; the seats that few may take come first."""
    free = set(people)
    taken: dict[int, int] = {}
    seats = sorted(
        range(len(mode.seats)), key=lambda s: sum(mode.seats[s][person] >= 0 for person in people)
    )
    for seat in seats:
        may = [person for person in free if mode.seats[seat][person] >= 0]
        if not may:
            return None
        taken[seat] = min(may, key=lambda person: (mode.seats[seat][person], person))
        free.remove(taken[seat])
    return tuple(taken[seat] for seat in range(len(mode.seats)))


def _first_crews(problem: Problem) -> list[Crew]:
    """People by the beginning of their shifts, one in demand in each crew, and the jobs dealt."""
    by_shift = sorted(range(len(problem.people)), key=lambda person: _from(problem, person))
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


def _from(problem: Problem, person: int) -> int:
    """When somebody's shift begins."""
    return max((back for away, back in problem.people[person].absences if away <= 0), default=0)


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
