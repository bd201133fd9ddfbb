"""Crews chosen by integer programming."""

from jobs.scheduling.day.problem import day_problem
from jobs.scheduling.day.request import DayJob, DayPerson, DayRequest
from jobs.scheduling.solver.problem import Activity, Mode, Person, Problem
from jobs.scheduling.solver.rosters import rostered
from loading.planner.stopping import Iterations
from tests.benchmarks._days import day_of

HOUR_S = 3600


def person(key: str, *skills: str, from_s: int = 6 * HOUR_S) -> DayPerson:
    return DayPerson(key, frozenset({"helper", *skills}), from_s, 18 * HOUR_S)


def job(key: str, hours: int, *, place: str = "branch", until: int = 18) -> DayJob:
    takes_s = {2: hours * HOUR_S, 3: hours * HOUR_S * 2 // 3}
    return DayJob(key, place, takes_s, (6 * HOUR_S, until * HOUR_S))


def crews(request: DayRequest) -> list[tuple[tuple[int, ...], tuple[int, ...]]] | None:
    return rostered(day_problem(request).problem, stop=Iterations(20))


def test_jobs_are_dealt_so_that_the_last_ends_earliest() -> None:
    people = (person("a", "loader"), person("b", "loader"), person("c"), person("d"))
    found = crews(DayRequest((job("A", 4), job("B", 3), job("C", 2), job("D", 1)), people))
    assert found is not None
    assert sorted(sorted(jobs) for _, jobs in found) == [[0, 3], [1, 2]]
    members = [person for those, _ in found for person in those]
    assert len(members) == len(set(members)) == 4
    assert all({0, 1} & set(those) for those, _ in found)


def test_one_loader_is_one_crew() -> None:
    people = (person("a", "loader"), person("b"), person("c"), person("d"))
    found = crews(DayRequest((job("A", 3), job("B", 3)), people))
    assert found is not None
    assert [(len(those), 0 in those, sorted(jobs)) for those, jobs in found] == [(3, True, [0, 1])]


def test_what_must_be_over_early_comes_first() -> None:
    people = (person("a", "loader"), person("b"))
    found = crews(DayRequest((job("A", 4), job("B", 2, until=8)), people))
    assert found == [((0, 1), (1, 0))]


def test_who_comes_later_is_in_a_crew_that_begins_later() -> None:
    people = (
        person("a", "loader"),
        person("b", "loader", from_s=8 * HOUR_S),
        person("c"),
        person("d", from_s=8 * HOUR_S),
    )
    found = crews(DayRequest((job("A", 6), job("B", 4)), people))
    assert found is not None
    assert dict(found) == {(0, 2): (0,), (1, 3): (1,)}


def test_without_a_loader_there_are_none() -> None:
    assert crews(DayRequest((job("A", 4),), (person("b"), person("c")))) is None


def test_work_that_needs_other_work_is_not_for_this() -> None:
    one = Activity((Mode(5, (), ((0,),)),))
    both = Problem((one, Activity(one.modes, (0,))), people=(Person(),))
    assert rostered(both, stop=Iterations(5)) is None


def test_the_same_crews_come_again_and_everybody_is_in_one_at_most() -> None:
    problem = day_problem(day_of(jobs=12, people=18, seed=2)).problem
    one, other = (rostered(problem, stop=Iterations(8)) for _ in range(2))
    assert one is not None
    assert one == other
    members = [person for those, _ in one for person in those]
    assert len(members) == len(set(members))
    assert sorted(number for _, jobs in one for number in jobs) == list(range(12))
