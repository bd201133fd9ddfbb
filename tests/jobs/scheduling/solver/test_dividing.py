"""The bound from dividing the work: by hand, and against the optimum of tiny cases."""

from hypothesis import given

from jobs.scheduling.solver.bounds import lower_bound
from jobs.scheduling.solver.dividing import divided_bound
from jobs.scheduling.solver.problem import Activity, Mode, Person, Problem
from tests.jobs.scheduling.solver.tiny import floors, shortest

FIRST, SECOND, ANYBODY = (0, -1), (-1, 0), (0, 0)


def alone(seconds: int, seat: tuple[int, ...], **more: int) -> Activity:
    return Activity((Mode(seconds, (), (seat,)),), **more)


def test_work_for_anybody_goes_to_who_has_least() -> None:
    work = (alone(60, FIRST), alone(20, SECOND), alone(30, ANYBODY))
    problem = Problem(work, people=(Person(), Person()))
    assert divided_bound(problem, [0, 0, 0], 0) == 60
    more = Problem((*work, alone(30, ANYBODY)), people=(Person(), Person()))
    assert divided_bound(more, [0, 0, 0, 0], 0) == 70


def test_ways_belong_to_who_goes_them() -> None:
    carry = alone(10, FIRST, place=0, place_after=1)
    problem = Problem((carry,) * 3, people=(Person(), Person()), travel=((0, 4), (4, 0)))
    assert divided_bound(problem, [0, 0, 0], 0) == 3 * 10 + 2 * 4


def test_nobody_begins_before_there_is_work() -> None:
    problem = Problem((alone(10, FIRST), alone(10, SECOND)), people=(Person(), Person()))
    assert divided_bound(problem, [0, 25], 0) == 35


def test_a_break_that_is_over_by_then_is_lost() -> None:
    problem = Problem((alone(50, ANYBODY),) * 2, people=(Person(((5, 15),)), Person()))
    assert divided_bound(problem, [0, 0], 50) == 55


def test_a_way_that_everybody_goes_is_part_of_the_longest_way() -> None:
    there = alone(10, ANYBODY, place=1, place_after=0)
    again = Activity(there.modes, (0,), place=1, place_after=0)
    problem = Problem((there, again), people=(Person(),) * 2, travel=((0, 4), (4, 0)))
    assert lower_bound(problem) == 28


def test_who_works_at_a_place_has_come_there() -> None:
    there = alone(10, ANYBODY, place=1, place_after=1)
    travel = ((0, 7, 1), (7, 0, 7), (1, 7, 0))
    problem = Problem((there,) * 4, people=(Person(), Person()), travel=travel)
    assert divided_bound(problem, [0] * 4, 0) == 7 + 2 * 10
    home = alone(10, ANYBODY, place=2, place_after=2)
    both = Problem((*(there,) * 3, home), people=(Person(), Person()), travel=travel)
    assert 7 + 2 * 10 >= divided_bound(both, [0] * 4, 0) > 4 * 10 / 2 + 1


def test_people_alike_are_counted_together() -> None:
    problem = Problem(
        (*(alone(10, (0,) * 40),) * 80, alone(10, (0, *(-1,) * 39))), people=(Person(),) * 40
    )
    assert divided_bound(problem, [0] * 81, 0) == 21


@given(floors())
def test_nothing_ends_before_the_bound(problem: Problem) -> None:
    assert lower_bound(problem) <= shortest(problem)
