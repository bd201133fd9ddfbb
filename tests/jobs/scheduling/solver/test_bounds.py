"""The lower bound: small cases that are plain to see, and that it always holds."""

from hypothesis import given
from hypothesis import strategies as st

from jobs.scheduling.checker import broken_rules
from jobs.scheduling.solver.annealing import improve
from jobs.scheduling.solver.bounds import lower_bound
from jobs.scheduling.solver.pools import seat_pools, sure_of
from jobs.scheduling.solver.problem import Activity, Mode, Person, Problem
from loading.planner.stopping import Iterations

ONE, OTHER, ANYBODY = (0, -1, -1), (-1, 0, 0), (0, 0, 0)
DOCK, TRUCK = 0, 1
WAYS = ((0, 7), (7, 0))


def carries(count: int, people: int, *, seconds: int = 20, absences: int = 0) -> Problem:
    """Pieces that one person each carries from the dock into the truck."""
    carry = Activity((Mode(seconds, (), ((0,) * people,)),), place=DOCK, place_after=TRUCK)
    breaks = ((50, 50 + absences),) if absences else ()
    return Problem((carry,) * count, people=(Person(breaks, DOCK),) * people, travel=WAYS)


def test_the_way_back_counts_but_after_the_last() -> None:
    assert lower_bound(carries(4, 1)) == 4 * 20 + 3 * 7
    assert lower_bound(carries(4, 2)) == 2 * 20 + 7


def test_a_way_back_that_work_makes_is_no_walk() -> None:
    back = Activity((Mode(5, (), ((0,),)),), place=TRUCK, place_after=DOCK)
    problem = carries(3, 1)
    both = Problem((*problem.activities, back), people=problem.people, travel=WAYS)
    assert lower_bound(both) <= 3 * 20 + 5 + 7


def test_a_break_is_time_that_is_not_there() -> None:
    assert lower_bound(carries(4, 1, absences=100)) == 4 * 20 + 3 * 7 + 100


def test_one_loader_leaves_the_second_seat_to_the_others() -> None:
    load = Activity((Mode(10, (), (ONE, ANYBODY)),))
    pools = seat_pools(Problem((load,), people=(Person(),) * 3))
    assert frozenset({0}) in pools
    assert sure_of(load, load.modes[0], frozenset({1, 2})) == 1
    assert sure_of(load, load.modes[0], frozenset({0})) == 1
    assert sure_of(load, load.modes[0], frozenset({0, 1, 2})) == 2
    unpack = Activity((Mode(10, (), (OTHER, ANYBODY)),))
    assert sure_of(unpack, unpack.modes[0], frozenset({1, 2})) == 1


@st.composite
def floors(draw: st.DrawFn) -> Problem:
    people = draw(st.integers(1, 3))
    seat = st.lists(st.sampled_from([-1, 0]), min_size=people, max_size=people).map(
        lambda ranks: tuple(ranks) if 0 in ranks else (0,) * people
    )
    place, length = st.integers(0, 2), st.integers(1, 30)
    activities = [
        Activity(
            tuple(Mode(draw(length), (), (draw(seat),)) for _ in range(draw(st.integers(1, 2)))),
            tuple(draw(st.sets(st.integers(0, number - 1), max_size=1)) if number else ()),
            place=draw(place),
            place_after=draw(place),
        )
        for number in range(draw(st.integers(1, 7)))
    ]
    way = st.integers(0, 20)
    travel = [[0 if a == b else draw(way) for b in range(3)] for a in range(3)]
    absent = tuple(((draw(length), 40),) if draw(st.booleans()) else () for _ in range(people))
    return Problem(
        tuple(activities),
        people=tuple(Person(one, draw(place)) for one in absent),
        travel=tuple(tuple(row) for row in travel),
    )


@given(floors())
def test_no_schedule_ends_before_the_bound(problem: Problem) -> None:
    schedule = improve(problem, seed=1, stop=Iterations(5))
    assert broken_rules(problem, schedule) == ()
    if not schedule.left_over:
        assert lower_bound(problem) <= schedule.end
