"""Long schedules, made better stretch by stretch."""

from jobs.scheduling.checker import broken_rules
from jobs.scheduling.solver.annealing import improve
from jobs.scheduling.solver.bounds import lower_bound
from jobs.scheduling.solver.listing import first_found, first_schedule
from jobs.scheduling.solver.problem import Activity, Hold, Mode, Person, Problem
from jobs.scheduling.solver.stretches import Sweeps
from jobs.scheduling.solver.tables import tables_of
from loading.planner.stopping import Iterations

LOADER, HELPER, ANYBODY = (0, -1, -1), (-1, 0, 1), (0, 1, 2)
DOCK, TRUCK = 0, 1


def floor(pieces: int, *, places: int = 3) -> Problem:
    """Pieces that come onto a small dock, are carried, and loaded one after another."""
    activities: list[Activity] = []
    holds: list[Hold] = []
    for piece in range(pieces):
        out, carry, load = range(3 * piece, 3 * piece + 3)
        second = (ANYBODY,) * (piece % 3 == 0)
        before = (out - 3,) if piece else ()
        last = (load - 3,) if piece else ()
        takes = 20 + 7 * piece % 13
        activities += [
            Activity((Mode(takes, (0,), (HELPER,)),), before),
            Activity((Mode(25, (0,), (HELPER, *second)),), (out,), place_after=TRUCK),
            Activity(
                (Mode(30, (0,), (LOADER, *second)),),
                (carry, *last),
                place=TRUCK,
                place_after=TRUCK,
            ),
        ]
        holds.append(Hold(0, 1, out, carry))
    people = (Person(place=TRUCK), Person(((400, 460),), DOCK), Person(place=DOCK))
    return Problem(tuple(activities), (places,), tuple(holds), people, ((0, 7), (7, 0)))


def test_it_keeps_the_rules_and_is_better_than_the_first() -> None:
    problem = floor(45)
    found = improve(problem, seed=1, stop=Iterations(20))
    assert broken_rules(problem, found) == ()
    assert found.left_over == ()
    assert lower_bound(problem) <= found.end < first_schedule(problem).end


def test_the_same_seed_gives_the_same() -> None:
    problem = floor(45, places=2)
    one, other = (improve(problem, seed=3, stop=Iterations(30)) for _ in range(2))
    assert one == other


def test_it_begins_with_the_former_one() -> None:
    problem = floor(45)
    former = improve(problem, seed=1, stop=Iterations(20))
    again = improve(problem, seed=2, stop=Iterations(0), former=former)
    assert again.end <= first_schedule(problem).end


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
