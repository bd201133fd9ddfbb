"""The bound with time cut at both ends: by hand, and against the optimum of tiny cases."""

from dataclasses import replace

from hypothesis import given

from jobs.scheduling.solver.bounds import lower_bound
from jobs.scheduling.solver.dividing import divided_bound
from jobs.scheduling.solver.phases import phased_bound
from jobs.scheduling.solver.problem import Activity, Mode, Person, Problem
from tests.jobs.scheduling.solver.pieces import floor
from tests.jobs.scheduling.solver.tiny import floors, shortest

FIRST, SECOND, ANYBODY = (0, -1), (-1, 0), (0, 0)


def alone(seconds: int, seat: tuple[int, ...], *needs: int, **more: int) -> Activity:
    return Activity((Mode(seconds, (), (seat,)),), needs, **more)


def chained(problem: Problem) -> tuple[list[int], list[int], int]:
    """Heads, tails and the longest way, without ways between places."""
    heads, tails = [0] * len(problem.activities), [0] * len(problem.activities)
    for number in problem.order:
        activity = problem.activities[number]
        ends = (heads[n] + problem.activities[n].modes[0].duration for n in activity.needs)
        heads[number] = max([activity.release, *ends])
    for number in reversed(problem.order):
        after = max((tails[n] for n in problem.followers[number]), default=0)
        tails[number] = problem.activities[number].modes[0].duration + after
    return heads, tails, max(h + t for h, t in zip(heads, tails, strict=True))


def test_those_who_wait_at_first_and_in_the_end_are_added_up() -> None:
    first, last = alone(10, SECOND), alone(10, FIRST, 1, 2, 3, 4)
    problem = Problem((first, *(alone(10, ANYBODY, 0),) * 4, last), people=(Person(), Person()))
    heads, tails, longest = chained(problem)
    assert divided_bound(problem, heads, longest) == 35
    assert phased_bound(problem, heads, tails, longest) == 40 == lower_bound(problem)


def test_work_that_can_be_had_early_fills_the_time_at_first() -> None:
    first, last = alone(10, SECOND), alone(10, FIRST, 1, 2, 3)
    more = (*(alone(10, ANYBODY, 0),) * 3, last, alone(10, ANYBODY))
    problem = Problem((first, *more), people=(Person(), Person()))
    heads, tails, longest = chained(problem)
    assert phased_bound(problem, heads, tails, longest) == 35


def test_whoever_walks_sets_off_when_there_is_work_and_not_before() -> None:
    there = alone(10, ANYBODY, place=1, place_after=1)
    again = alone(10, ANYBODY, 0, place=1, place_after=1)
    travel = ((0, 6), (6, 0))
    problem = Problem((there, again, again), people=(Person(), Person()), travel=travel)
    assert phased_bound(problem, [0, 16, 16], [26, 10, 10], 26) == 26 < shortest(problem)
    one_way = [replace(a, modes=(Mode(10, (), ((0,),)),)) for a in problem.activities]
    by_one = Problem(tuple(one_way), people=(Person(),), travel=travel)
    assert lower_bound(by_one) == 36 == shortest(by_one)


def test_a_break_at_first_is_lost_and_one_after_the_last_end_is_not() -> None:
    work = (*(alone(10, ANYBODY),) * 4, alone(10, FIRST, 0, 1, 2, 3))
    early = Problem(work, people=(Person(), Person(((0, 8),))))
    heads, tails, longest = chained(early)
    assert phased_bound(early, heads, tails, longest) == 34
    late = Problem(work, people=(Person(), Person(((60, 90),))))
    assert phased_bound(late, heads, tails, longest) == 30


def test_on_a_long_floor_it_is_no_weaker_than_without_cuts() -> None:
    problem = floor(45)
    heads, tails, longest = chained(problem)
    whole = divided_bound(problem, heads, longest)
    assert phased_bound(problem, heads, tails, longest) >= whole > 0


@given(floors())
def test_nothing_ends_before_the_bound(problem: Problem) -> None:
    heads = [activity.release for activity in problem.activities]
    tails = [min(mode.duration for mode in activity.modes) for activity in problem.activities]
    longest = max(head + tail for head, tail in zip(heads, tails, strict=True))
    assert phased_bound(problem, heads, tails, longest) <= shortest(problem)
    assert lower_bound(problem) <= shortest(problem)
