"""In which order the searches are used, by what the problem is like."""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field

from jobs.scheduling.solver import annealing, crews, lists
from jobs.scheduling.solver.bounds import lower_bound
from jobs.scheduling.solver.problem import Activity, Mode, Problem, Schedule, Start
from jobs.scheduling.solver.proving import Proof, Prover
from loading.planner.stopping import Stop

_SMALL = 45
"""Up to so many activities CP-SAT is worth more than a second population."""
_CHILDREN = 200
_ISLANDS = 2
_STALE_ROUNDS = 150
"""After so many rounds without anything better, an island starts afresh."""


@dataclass(frozen=True, slots=True)
class Solution:
    """The best schedule found and a bound below which none can end."""

    schedule: Schedule
    bound: int


def is_plain(problem: Problem) -> bool:
    """Whether activity lists can state it: one mode each, no people, holds or times to wait for."""
    single = all(len(a.modes) == 1 and not a.release and not a.team for a in problem.activities)
    return single and not problem.people and not problem.holds


def solve(
    problem: Problem,
    *,
    seed: int,
    stop: Stop,
    prove: bool = True,
    former: Schedule | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Solution:
    """The best schedule until `stop`; what is found is always worth having.

    `prove` lets CP-SAT work beside the search; without it, the same seed and number of
    iterations give the same schedule. `former` is where the search begins, if it is given.
    """
    give_up = cancelled or (lambda: False)
    if not problem.activities:
        return Solution(Schedule(()), 0)
    if is_plain(problem):
        return _solve_plain(problem, seed, stop, prove, give_up)
    bound = lower_bound(problem)
    schedule = annealing.improve(
        problem, seed=seed, stop=stop, bound=bound, former=former, cancelled=give_up
    )
    return Solution(schedule, bound)


@dataclass(slots=True)
class _Island:
    """A population that starts afresh when it finds nothing better for long."""

    tables: lists.Tables
    size: int
    seed: int
    population: lists.Population = field(init=False)
    rounds: int = 0
    stale: int = 0
    best_end: int = 1 << 62
    best_starts: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        self.population = lists.population_of(self.tables, size=self.size, seed=self.seed)
        self._keep()

    def advance(self) -> None:
        self.rounds += 1
        seed = (self.seed * 1_000_003 + self.rounds) % (1 << 31)
        if self.stale >= _STALE_ROUNDS:
            self.stale = 0
            self.population = lists.population_of(self.tables, size=self.size, seed=seed)
        before = int(self.population.best_end[0])
        lists.population_advance(self.tables, self.population, children=_CHILDREN, seed=seed)
        self.stale = 0 if int(self.population.best_end[0]) < before else self.stale + 1
        self._keep()

    def _keep(self) -> None:
        if int(self.population.best_end[0]) < self.best_end:
            self.best_end = int(self.population.best_end[0])
            self.best_starts = tuple(self.population.best_starts.tolist())


def _solve_plain(
    problem: Problem, seed: int, stop: Stop, prove: bool, cancelled: Callable[[], bool]
) -> Solution:
    tables, bound = lists.tables_of(problem), lower_bound(problem)
    size = 60 if len(problem.activities) <= _SMALL else 120
    with ThreadPoolExecutor(_ISLANDS + 1) as threads:
        islands = list(
            threads.map(lambda k: _Island(tables, size, seed * 7919 + k), range(_ISLANDS))
        )
        beside: _Beside | None = None
        rounds = 0
        while not (stop.reached(rounds) or cancelled()):
            if min(island.best_end for island in islands) <= bound:
                break
            if prove and beside is None and _worth_proving(problem, stop.share(rounds)):
                hint = _schedule(problem, min(islands, key=lambda one: one.best_end).best_starts)
                beside = _Beside(Prover(problem, hint, seed), threads)
                islands = islands[:1]
            if beside and beside.done():
                break
            rounds += 1
            list(threads.map(_Island.advance, islands))
        best = _schedule(problem, min(islands, key=lambda one: one.best_end).best_starts)
        if beside:
            proof = beside.result()
            bound = max(bound, proof.bound)
            if proof.begins and _schedule(problem, proof.begins).end < best.end:
                best = _schedule(problem, proof.begins)
    return Solution(best, bound)


def _worth_proving(problem: Problem, share: float) -> bool:
    return len(problem.activities) <= _SMALL and share >= 0.1


class _Beside:
    """CP-SAT in a thread of its own."""

    def __init__(self, prover: Prover, threads: ThreadPoolExecutor) -> None:
        self.prover = prover
        self.future: Future[Proof] = threads.submit(prover.run)

    def done(self) -> bool:
        return self.future.done()

    def result(self) -> Proof:
        self.prover.stop()
        return self.future.result()


def _schedule(problem: Problem, begins: tuple[int, ...]) -> Schedule:
    return Schedule(
        tuple(
            Start(0, begin, begin, begin + activity.modes[0].duration)
            for begin, activity in zip(begins, problem.activities, strict=True)
        )
    )


def warm() -> None:
    """Compile what is compiled, or load it, for all kinds of problem."""
    annealing.warm()
    crews.warm()
    two = Problem((Activity((Mode(1, (1,)),)), Activity((Mode(1, (1,)),), (0,))), (1,))
    tables = lists.tables_of(two)
    population = lists.population_of(tables, size=2, seed=1)
    lists.population_advance(tables, population, children=1, seed=1)
