"""The crews of a day: proposed for all its jobs from everybody with a shift, then accepted."""

from datetime import date, datetime, timedelta

import pytest

from inventory.models import Branch, Role, User
from jobs.errors import JobClosed, NoCrewProposed
from jobs.models import CrewPin, DayCrews, Job
from jobs.scheduling.day import DayPlan, DayRequest, Post
from jobs.selectors.balances import day_to_balance
from jobs.selectors.day_crews import ProposedDay, day_to_man, proposed_day
from jobs.services import (
    crew_accept,
    crew_member_put,
    day_crews_ask,
    day_crews_make,
    day_crews_resend,
    days_begin,
    dock_way_put,
    job_accept_plan,
    shift_put,
    skills_put,
)
from jobs.services.making import RESEND_AFTER
from loading.models import Dock, Load
from tests.jobs import stage
from tests.jobs.stage import DAY, NOW

HOUR = timedelta(hours=1)
PEOPLE = {
    "lou": "loader",
    "liv": "loader",
    "wim": "warehouse",
    "wes": "warehouse",
    "ada": "helper",
    "ben": "helper",
}


@pytest.fixture
def other(accepted: Job) -> Job:
    """A second job of the day at a dock of its own, a minute later."""
    load = Load.objects.get(pk=accepted.load_id)
    dock = Dock.objects.create(branch=load.branch, name="far", vault_spots=1, floor_mm2=5_000_000)
    load.pk, load.reference, load.dock = None, "other", dock
    load.save()
    job = stage.make_job(load)
    later = job.window_start + timedelta(minutes=1)
    Job.objects.filter(pk=job.pk).update(window_start=later)
    return job_accept_plan(job=job, plan=stage.store_plan(load), by=None, now=NOW)


@pytest.fixture
def pool(branch: Branch) -> dict[str, User]:
    """Two loaders, two of the warehouse and two helpers, there all day."""
    people = {name: stage.make_person(branch, name, part) for name, part in PEOPLE.items()}
    for person in people.values():
        put(branch, person)
    return people


def put(branch: Branch, person: User, after: timedelta = timedelta()) -> None:
    hours = (NOW + after, NOW + 9 * HOUR)
    shift_put(branch=branch, person=person, day=DAY, hours=hours, now=NOW)


def one_crew_each(request: DayRequest) -> DayPlan:
    """The first who can leads each part, then one more; one job after the other begins."""
    left = list(request.people)
    posts = []
    for number, job in enumerate(request.jobs):
        team = [
            next(one for one in left if skill in one.skills)
            for skill in ("loader", *job.skills, "helper")
        ]
        left = [one for one in left if one not in team]
        keys = tuple(one.key for one in team)
        posts.append(Post(job.key, keys, 1800 * number, 1800 * number, 1800 * number + 3600))
    return DayPlan(tuple(posts), posts[-1].end_s, 0)


def proposed(branch: Branch) -> ProposedDay:
    day_crews_ask(branch=branch, day=DAY, now=NOW)
    day_crews_make(branch_id=branch.pk, day=DAY, worker="w1", now=NOW, balance=one_crew_each)
    return proposed_day(branch=branch, day=DAY)


def test_everybody_with_a_shift_may_go_to_every_job_with_work(
    branch: Branch, accepted: Job, other: Job, pool: dict[str, User]
) -> None:
    put(branch, pool["ben"], after=HOUR)
    dock_way_put(dock=other.load.dock, minutes=20)
    request = day_to_man(branch=branch, day=DAY, now=NOW)
    assert {job.key for job in request.jobs} == {str(accepted.pk), str(other.pk)}
    assert all(job.needs_loader and job.skills == ("warehouse",) for job in request.jobs)
    # The sofa of 60 kg takes two, and a loader and somebody for the vaults lead.
    assert {min(job.takes_s) for job in request.jobs} == {2}
    people = {one.key: one for one in request.people}
    assert people[str(pool["lou"].pk)].skills == {"loader"}
    assert people[str(pool["ben"].pk)].from_s == 3600
    far = next(job.place for job in request.jobs if job.key == str(other.pk))
    assert request.way_s("branch", far) == 20 * 60


def test_who_is_certified_drives_and_who_is_on_a_job_stays(
    branch: Branch, accepted: Job, other: Job, pool: dict[str, User]
) -> None:
    skills_put(branch=branch, person=pool["ada"], kinds=["forklift"])
    crew_member_put(job=other, user=pool["lou"], part="loader", now=NOW)
    request = day_to_man(branch=branch, day=DAY, now=NOW)
    assert {job.skills for job in request.jobs} == {("forklift",)}
    assert request.pins == {str(pool["lou"].pk): str(other.pk)}


def test_who_is_on_a_job_counts_without_a_shift(branch: Branch, accepted: Job) -> None:
    lou = stage.make_person(branch, "lou", "loader")
    crew_member_put(job=accepted, user=lou, part="loader", now=NOW)
    request = day_to_man(branch=branch, day=DAY, now=NOW)
    assert [(one.key, one.from_s) for one in request.people] == [(str(lou.pk), 0)]
    assert request.pins == {str(lou.pk): str(accepted.pk)}


def test_a_crew_is_proposed_with_parts_and_reasons(
    branch: Branch, accepted: Job, other: Job, pool: dict[str, User]
) -> None:
    first, second = proposed(branch).crews
    assert {(one.person.username, one.part, one.why) for one in first.people} == {
        ("lou", "loader", "loader"),
        ("wim", "warehouse", "warehouse"),
        ("ada", "helper", "sooner"),
    }
    assert {one.person.username for one in second.people} == {"liv", "wes", "ben"}
    assert (second.starts_at, second.ends_at) == (NOW + HOUR / 2, NOW + 1.5 * HOUR)
    # The windows end after four hours.
    assert (first.spare_min, second.spare_min, second.late_min) == (180, 150, 0)
    assert first.one_less_min is not None
    assert first.one_less_min > 0


def test_the_search_itself_mans_both_jobs(
    branch: Branch, accepted: Job, other: Job, pool: dict[str, User]
) -> None:
    day_crews_ask(branch=branch, day=DAY, now=NOW)
    day_crews_make(branch_id=branch.pk, day=DAY, worker="w1", now=NOW)
    found = proposed_day(branch=branch, day=DAY)
    assert found.unmanned == ()
    assert {one.job for one in found.crews} == {accepted, other}
    for crew in found.crews:
        assert {"loader", "warehouse"} <= {one.part for one in crew.people}


def test_accepting_puts_the_crew_on_the_job_and_twice_is_once(
    branch: Branch, accepted: Job, other: Job, pool: dict[str, User], dispatcher: User
) -> None:
    proposed(branch)
    crew_accept(job=other, by=dispatcher, now=NOW)
    put_on = crew_accept(job=other, by=dispatcher, now=NOW)
    assert [(one.user.username, one.part) for one in put_on] == [
        ("liv", "loader"),
        ("wes", "warehouse"),
        ("ben", "helper"),
    ]
    assert {one.comes_at for one in put_on} == {NOW + HOUR / 2}
    assert {one.leaves_at for one in put_on} == {NOW + 9 * HOUR}
    assert other.crew.count() == 3
    assert not accepted.crew.exists()
    crews = {one.job: one for one in proposed_day(branch=branch, day=DAY).crews}
    assert (crews[other].is_on, crews[accepted].is_on) == (True, False)


def test_one_of_a_crew_can_be_accepted_and_pinned(
    branch: Branch, accepted: Job, other: Job, pool: dict[str, User], dispatcher: User
) -> None:
    proposed(branch)
    (mine,) = crew_accept(job=accepted, people=[pool["lou"]], pin=True, by=dispatcher, now=NOW)
    assert (mine.user, mine.comes_at) == (pool["lou"], None)
    assert CrewPin.objects.get().job == accepted
    request = day_to_man(branch=branch, day=DAY, now=NOW)
    assert request.pins == {str(pool["lou"].pk): str(accepted.pk)}


def test_who_was_not_proposed_is_not_put(
    branch: Branch, accepted: Job, other: Job, pool: dict[str, User], dispatcher: User
) -> None:
    with pytest.raises(NoCrewProposed):
        crew_accept(job=accepted, by=dispatcher, now=NOW)
    proposed(branch)
    with pytest.raises(NoCrewProposed):
        crew_accept(job=accepted, people=[pool["liv"]], by=dispatcher, now=NOW)
    Job.objects.filter(pk=accepted.pk).update(status="closed")
    accepted.refresh_from_db()
    with pytest.raises(JobClosed):
        crew_accept(job=accepted, by=dispatcher, now=NOW)
    assert not accepted.crew.exists()


def test_without_people_every_job_is_unmanned(branch: Branch, accepted: Job) -> None:
    found = proposed(branch)
    assert (found.crews, found.unmanned) == ((), (accepted,))


def test_one_worker_makes_it_and_a_lost_message_is_sent_again(
    branch: Branch, accepted: Job, pool: dict[str, User]
) -> None:
    day_crews_ask(branch=branch, day=DAY, now=NOW)
    later = NOW + 2 * RESEND_AFTER
    assert day_crews_resend(now=later) == [(branch.pk, DAY)]
    made = [
        day_crews_make(branch_id=branch.pk, day=DAY, worker=name, now=NOW, balance=one_crew_each)
        for name in ("w1", "w2")
    ]
    assert made[0]
    assert made[1] is None
    assert day_crews_resend(now=later) == []


@pytest.mark.parametrize(("hour", "asked"), [(4, False), (5, True)])
def test_the_day_begins_by_the_branchs_clock(
    branch: Branch, accepted: Job, pool: dict[str, User], hour: int, asked: bool
) -> None:
    zone = datetime.fromisoformat(f"{DAY}T0{hour}:30:00-06:00")
    assert days_begin(now=zone) == ([(branch.pk, DAY)] if asked else [])
    assert days_begin(now=zone) == []
    assert DayCrews.objects.exists() == asked


def test_a_day_that_is_manned_or_has_no_shifts_is_left_alone(
    branch: Branch, accepted: Job, dispatcher: User
) -> None:
    assert days_begin(now=NOW) == []
    Role.objects.create(user=dispatcher, branch=branch, kind="helper")
    put(branch, dispatcher)
    crew_member_put(job=accepted, user=dispatcher, part="helper", now=NOW)
    assert days_begin(now=NOW) == []
    assert not DayCrews.objects.filter(day=date(2026, 3, 4)).exists()


def test_a_change_during_the_day_counts_the_way_to_the_other_dock(
    branch: Branch, accepted: Job, other: Job, pool: dict[str, User]
) -> None:
    dock_way_put(dock=accepted.load.dock, minutes=5)
    dock_way_put(dock=other.load.dock, minutes=20)
    for name in ("lou", "wim", "ada"):
        crew_member_put(job=accepted, user=pool[name], part=PEOPLE[name], now=NOW)
    request = day_to_balance(branch=branch, day=DAY, now=NOW).request
    places = {job.key: job.place for job in request.jobs}
    assert request.way_s(places[str(accepted.pk)], places[str(other.pk)]) == 25 * 60
    assert {person.place for person in request.people} == {places[str(accepted.pk)]}
