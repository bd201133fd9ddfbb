"""The day's balance: small days by hand, larger ones by their rules."""

from dataclasses import replace

import pytest

from jobs.scheduling.checker import broken_rules
from jobs.scheduling.day import (
    DayError,
    DayJob,
    DayPerson,
    DayPlan,
    DayRequest,
    Post,
    takes_by_people,
)
from jobs.scheduling.day.problem import day_problem
from jobs.scheduling.day.proposing import propose
from jobs.scheduling.day.solving import balance
from jobs.scheduling.solver.portfolio import solve
from loading.planner.stopping import Iterations
from tests.benchmarks._days import day_of

DAY = (0, 10_000)


def job(key: str, takes_s: dict[int, int], *, window_s: tuple[int, int] = DAY) -> DayJob:
    return DayJob(key, "dock", takes_s, window_s)


def person(key: str, *skills: str, until_s: int = 10_000) -> DayPerson:
    return DayPerson(key, frozenset({"helper", *skills}), 0, until_s)


TWO_LOADERS = (person("a", "loader"), person("b", "loader"), person("c"), person("d"))


def balanced(request: DayRequest) -> DayPlan:
    return balance(request, seed=1, stop=Iterations(10))


def test_two_jobs_are_done_beside_each_other_each_with_a_loader() -> None:
    request = DayRequest((job("1", {2: 100}), job("2", {2: 100})), TWO_LOADERS)
    plan = balanced(request)
    assert (plan.end_s, plan.bound_s) == (100, 100)
    assert all({"a", "b"} & set(post.people) for post in plan.posts)


def test_with_one_loader_they_are_done_in_turn() -> None:
    people = (person("a", "loader"), person("c"), person("d"), person("e"))
    plan = balanced(DayRequest((job("1", {2: 100}), job("2", {2: 100})), people))
    assert plan.end_s == 200
    assert all("a" in post.people for post in plan.posts)


def test_the_way_between_branch_and_dock_counts() -> None:
    request = DayRequest((job("1", {2: 100}),), TWO_LOADERS, {("branch", "dock"): 30})
    post = balanced(request).posts[0]
    assert (post.goes_s, post.start_s, post.end_s) == (0, 30, 130)


def test_a_job_waits_for_its_window_and_being_late_is_told() -> None:
    request = DayRequest(
        (job("1", {2: 100}, window_s=(500, 550)),), TWO_LOADERS, {("branch", "dock"): 30}
    )
    plan = balanced(request)
    assert (plan.posts[0].start_s, plan.late) == (500, (("1", 50),))


def test_windows_come_before_the_last_end() -> None:
    jobs = (job("long", {2: 400}), job("soon", {2: 100}, window_s=(0, 100)))
    plan = balanced(DayRequest(jobs, TWO_LOADERS[:1] + TWO_LOADERS[2:3]))
    assert plan.late == ()
    assert [post.job for post in plan.posts] == ["soon", "long"]


def test_who_is_pinned_is_on_that_job() -> None:
    request = DayRequest(
        (job("1", {2: 100}), job("2", {2: 100})), TWO_LOADERS, pins={"d": "2", "a": "2"}
    )
    post = balanced(request).post("2")
    assert post is not None
    assert set(post.people) == {"a", "d"}


def test_a_job_nobody_can_do_is_told() -> None:
    plan = balanced(DayRequest((job("1", {3: 100}),), TWO_LOADERS[2:]))
    assert (plan.posts, plan.unmanned) == ((), ("1",))


def test_more_people_are_quicker_but_each_is_worth_a_little_less() -> None:
    assert takes_by_people(7200, minimum=2, most=3, lost_pct=10) == {2: 3600, 3: 2483}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"jobs": (job("1", {}),)}, "job 1: no size of crew"),
        ({"jobs": (job("1", {2: 1}), job("1", {2: 1}))}, "1 is there 2 times"),
        ({"jobs": (job("1", {2: 1}, window_s=(5, 4)),)}, "job 1: its window ends before"),
        ({"jobs": (replace(job("1", {1: 1}), skills=("forklift",)),)}, "job 1: a crew is smaller"),
        ({"pins": {"z": "1"}}, "z is pinned but is not among the people"),
        ({"pins": {"a": "9"}}, "a is pinned to 9"),
    ],
)
def test_a_day_that_makes_no_sense_is_refused(change: dict[str, object], said: str) -> None:
    with pytest.raises(DayError, match=said):
        replace(DayRequest((job("1", {2: 100}),), TWO_LOADERS), **change)  # type: ignore[arg-type]


def test_a_made_up_day_keeps_every_rule() -> None:
    request = day_of(jobs=12, people=20, seed=1)
    day = day_problem(request)
    found = solve(day.problem, seed=1, stop=Iterations(5), prove=False)
    assert broken_rules(day.problem, found.schedule) == ()
    plan = day.plan(found.schedule, found.bound)
    assert plan.bound_s <= plan.end_s
    loaders = {one.key for one in request.people if "loader" in one.skills}
    assert all(loaders & set(post.people) for post in plan.posts)


def test_a_helper_too_many_is_proposed_where_one_is_missing() -> None:
    request = DayRequest((job("1", {2: 6000, 3: 3600}), job("2", {1: 1000, 2: 900})), TWO_LOADERS)
    current = DayPlan(
        (Post("1", ("a", "c"), 0, 0, 6000), Post("2", ("b", "d"), 0, 0, 900)), 6000, 0
    )
    proposals = propose(request, current)
    assert (proposals[0].person, proposals[0].from_job, proposals[0].to_job) == ("d", "2", "1")
    assert proposals[0].gain_min == 40
    assert proposals[0].reason == "1 ends 40 min earlier; 2 ends 1 min later"
    pinned = replace(request, pins={"d": "2", "b": "2"})
    assert propose(pinned, current) == ()
