"""Long schedules, made better stretch by stretch."""

from jobs.scheduling.checker import broken_rules
from jobs.scheduling.solver.bounds import gauges_of, lower_bound
from jobs.scheduling.solver.listing import first_found
from jobs.scheduling.solver.problem import Problem, Schedule
from jobs.scheduling.solver.stretches import Sweeps
from jobs.scheduling.solver.tables import schedule_of, tables_of
from loading.planner.stopping import Iterations
from tests.jobs.scheduling.solver.pieces import floor


def swept(problem: Problem, seed: int, rounds: int) -> tuple[Schedule, Schedule]:
    """The first schedule and what becomes of it."""
    tables = tables_of(problem, gauges_of(problem))
    first = first_found(problem, tables, None)
    sweeps, stop = Sweeps(tables, first, seed), Iterations(rounds)
    while not stop.reached(sweeps.rounds):
        sweeps.advance(lambda: stop.share(sweeps.rounds))
    return schedule_of(tables, first.made), schedule_of(tables, sweeps.best.made)


def test_it_keeps_the_rules_and_is_better_than_the_first() -> None:
    problem = floor(45)
    first, found = swept(problem, 1, 20)
    assert broken_rules(problem, found) == ()
    assert found.left_over == ()
    assert lower_bound(problem) <= found.end < first.end


def test_the_same_seed_gives_the_same() -> None:
    problem = floor(45, places=2)
    assert swept(problem, 3, 30) == swept(problem, 3, 30)


def test_a_sweep_is_as_thorough_as_there_is_time_for() -> None:
    problem = floor(10)
    tables = tables_of(problem)
    sweeps = Sweeps(tables, first_found(problem, tables, None), 1)
    quick = sweeps.tries
    while sweeps.sweeps == 1:
        sweeps.advance(lambda: 0.1)
    assert sweeps.tries == 4 * quick
    while sweeps.sweeps == 2:
        sweeps.advance(lambda: 0.9)
    assert sweeps.tries == quick
