"""The bound from whole ways: by hand, against the optimum of tiny cases, and on a whole day."""

from hypothesis import given
from hypothesis import strategies as st

from jobs.scheduling.day.problem import day_problem
from jobs.scheduling.solver.bounds import lower_bound
from jobs.scheduling.solver.crews import scheduled_by_crews
from jobs.scheduling.solver.problem import Activity, Mode, Person, Problem
from jobs.scheduling.solver.rosters import rostered
from jobs.scheduling.solver.routes import routed_bound
from loading.planner.stopping import Iterations
from tests.benchmarks._days import day_of
from tests.jobs.scheduling.solver.tiny import floors, shortest

LEADER, ANYBODY = (0, -1), (0, 0)


def bound(problem: Problem, high: int) -> int:
    return routed_bound(problem, low=0, high=high, stop=Iterations(60))


def test_work_is_not_cut_in_two() -> None:
    alone = Activity((Mode(10, (), (ANYBODY,)),))
    problem = Problem((alone,) * 3, people=(Person(), Person()))
    assert lower_bound(problem) == 15
    assert bound(problem, 30) == 20


def test_who_goes_to_two_places_goes_both_ways() -> None:
    places = [Activity((Mode(10, (), ((0,),)),), place=p, place_after=p) for p in (1, 2)]
    problem = Problem(tuple(places), people=(Person(),), travel=((0, 3, 4), (3, 0, 9), (4, 9, 0)))
    assert bound(problem, 60) == 10 + 10 + 3 + 9


def test_a_team_needs_its_leader() -> None:
    team = Activity((Mode(10, (), (LEADER, ANYBODY)),))
    problem = Problem((team,) * 2, people=(Person(), Person()))
    assert bound(problem, 40) == 20


def test_a_shift_that_begins_later_earns_less() -> None:
    late = Person(((-5, 8),))
    alone = Activity((Mode(10, (), (ANYBODY,)),))
    assert bound(Problem((alone,) * 2, people=(late, late)), 40) == 18


def test_what_takes_no_time_is_not_looked_at() -> None:
    problem = Problem((Activity((Mode(0, (), ((0,),)),)),), people=(Person(),))
    assert routed_bound(problem, low=3, high=9, stop=Iterations(5)) == 3


@given(floors(), st.integers(0, 30))
def test_nothing_ends_before_the_bound(problem: Problem, more: int) -> None:
    least = shortest(problem)
    assert bound(problem, least + more) <= least


def test_on_a_whole_day_it_proves_more_than_divided_work() -> None:
    problem = day_problem(day_of(jobs=12, people=18, seed=1)).problem
    crews = rostered(problem, stop=Iterations(8))
    found = scheduled_by_crews(problem, seed=1, stop=Iterations(2), first=crews)
    assert found is not None
    low = lower_bound(problem)
    proved, again = (
        routed_bound(problem, low=low, high=found.end, stop=Iterations(30)) for _ in range(2)
    )
    assert low < proved <= found.end
    assert proved == again
