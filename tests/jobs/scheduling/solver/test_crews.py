"""Days by crews that stay together."""

from jobs.scheduling.checker import broken_rules
from jobs.scheduling.day.problem import day_problem
from jobs.scheduling.day.request import DayJob, DayPerson, DayRequest
from jobs.scheduling.day.solving import balance
from jobs.scheduling.solver.crews import scheduled_by_crews
from loading.planner.stopping import Iterations
from tests.benchmarks._days import day_of

HOUR_S = 3600


def people(count: int, *, loaders: int) -> tuple[DayPerson, ...]:
    return tuple(
        DayPerson(
            f"P{number}",
            frozenset({"helper", "loader"} if number < loaders else {"helper"}),
            6 * HOUR_S,
            18 * HOUR_S,
        )
        for number in range(count)
    )


def job(key: str, hours: int, *, until: int = 18) -> DayJob:
    return DayJob(key, "branch", {2: hours * HOUR_S}, (6 * HOUR_S, until * HOUR_S))


def test_four_jobs_are_dealt_to_two_crews_evenly() -> None:
    request = DayRequest((job("A", 4), job("B", 3), job("C", 2), job("D", 1)), people(4, loaders=2))
    problem = day_problem(request).problem
    found = scheduled_by_crews(problem, seed=1, stop=Iterations(5))
    assert found is not None
    assert broken_rules(problem, found) == ()
    assert found.end == 11 * HOUR_S


def test_what_must_be_over_early_comes_first() -> None:
    request = DayRequest((job("A", 4), job("B", 2, until=8)), people(2, loaders=1))
    plan = balance(request, seed=1, stop=Iterations(5))
    assert plan.late == ()
    assert [post.job for post in plan.posts] == ["B", "A"]


def test_without_a_loader_there_are_no_crews() -> None:
    request = DayRequest((job("A", 4),), people(3, loaders=0))
    assert scheduled_by_crews(day_problem(request).problem, seed=1, stop=Iterations(2)) is None


def test_a_large_day_keeps_all_rules_and_ends_earlier_than_crews_that_meet_for_a_job() -> None:
    request = day_of(jobs=40, people=60, seed=1)
    problem = day_problem(request).problem
    one, other = (scheduled_by_crews(problem, seed=1, stop=Iterations(30)) for _ in range(2))
    assert one is not None
    assert one == other
    assert broken_rules(problem, one) == ()
    assert one.end < 47_800
    plan = balance(request, seed=1, stop=Iterations(30))
    assert plan.end_s <= one.end + 600
    assert plan.late == plan.unmanned == ()
