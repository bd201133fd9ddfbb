"""One forklift for all docks, and lanes that two jobs of a day need: who is given work when."""

from datetime import datetime, timedelta

import pytest
from django.db.models import F
from django.test import Client
from django.utils import timezone

from inventory.models import Branch, Lane, User, Vault
from jobs.models import CrewMember, FloorPlan, Job
from jobs.scheduling.floor import Entry, FloorSchedule, schedule_document
from jobs.selectors.forklift_turns import FORGOTTEN_AFTER, forklift_turns, jobs_at_forklift
from jobs.services import crew_member_put, events_record, job_accept_plan, tasks_assign
from jobs.services.shifts import skills_put
from loading.models import Load
from tests.jobs import stage
from tests.jobs.reports import report
from tests.jobs.stage import DAY, NOW


@pytest.fixture
def lanes(branch: Branch) -> None:
    """Lane L1 holds V1 of the small load behind W1 of the other one; X9 stands in L2."""
    for name in ("L1", "L2", "L3"):
        Lane.objects.create(branch=branch, name=name, depth=2, levels=1)
    for code, lane, depth in (("V1", "L1", 2), ("W1", "L1", 1), ("X9", "L3", 2)):
        lane_row = branch.lanes.get(name=lane)
        Vault.objects.create(branch=branch, code=code, lane=lane_row, depth=depth, level=1)


@pytest.fixture
def other(branch: Branch, load: Load) -> Job:
    """A job of the same day, an hour before, that pulls W1 at another dock."""
    second = stage.make_load_at_another_dock(branch, [{"do": "pull", "vault": "W1"}])
    job = stage.make_job(second)
    Job.objects.filter(pk=job.pk).update(window_start=job.window_start - timedelta(hours=1))
    return job_accept_plan(job=job, plan=second.plans.get(), by=None, now=NOW)


@pytest.fixture
def wes(other: Job) -> CrewMember:
    person = stage.make_person(other.branch, "wes", "warehouse")
    return crew_member_put(job=other, user=person, part="warehouse", now=NOW)


@pytest.fixture
def behind(
    lanes: None, accepted: Job, crew: dict[str, CrewMember], wes: CrewMember, dispatcher: User
) -> Job:
    """The small load's job when V1 could be pulled but for W1, and Wim has nothing else to do."""
    told = [report("vault_moved", vault="X9", lane="L2"), report("piece_fetched", tag="007")]
    events_record(job=accepted, events=told, actor=dispatcher, now=NOW)
    return accepted


def planned(job: Job, task: str, at: datetime) -> None:
    """A schedule that has nothing but the one task."""
    entry = Entry(task, (), 0, 0, 60)
    FloorPlan.objects.filter(job=job).update(
        document=schedule_document(FloorSchedule((entry,), 60, 0)),
        starts_at=at,
        made_at=at,
        edition=F("edition") + 1,
    )


def given(job: Job) -> set[str]:
    return {one.task.key for one in tasks_assign(job_id=job.id, now=NOW)}


def tell(job: Job, by: User, *events: tuple[str, str]) -> None:
    told = [report(kind, vault=code) for kind, code in events]
    events_record(job=job, events=told, actor=by, now=NOW)


def test_a_vault_behind_anothers_is_not_given_out_before_that_is_pulled(
    behind: Job, other: Job, wes: CrewMember
) -> None:
    ready = list(behind.tasks.filter(key="pull:V1", status="ready"))
    assert dict(forklift_turns(job=behind, ready=ready, now=NOW).waiting) == {"pull:V1": "other"}
    assert "pull:V1" not in given(behind)
    assert given(other) == {"pull:W1"}
    tell(other, wes.user, ("vault_pulled", "W1"))
    assert given(behind) == {"pull:V1"}


def test_people_are_told_why_the_warehouse_waits(
    behind: Job,
    crew: dict[str, CrewMember],
    other: Job,
    wes: CrewMember,
    dispatcher: User,
    client: Client,
) -> None:
    def day() -> str:
        client.force_login(dispatcher)
        return client.get(f"/days/{DAY}/").content.decode()

    def pulls() -> str:
        client.force_login(crew["wim"].user)
        return client.get(f"/jobs/{behind.pk}/warehouse/").content.decode()

    assert "The warehouse waits: load other goes first there." in day()
    assert "Load other goes first in the lanes" in pulls()
    tasks_assign(job_id=other.id, now=timezone.now())
    assert "The warehouse waits: another dock has the forklift." in day()
    assert "Load other has the forklift" in pulls()
    tell(other, wes.user, ("vault_pulled", "W1"))
    assert "The warehouse waits" not in day()
    tasks_assign(job_id=behind.id, now=timezone.now())
    assert "Load " not in pulls()


def test_a_job_without_a_crew_keeps_nobody_waiting(
    lanes: None, accepted: Job, crew: dict[str, CrewMember], other: Job, dispatcher: User
) -> None:
    moved = report("vault_moved", vault="X9", lane="L2")
    events_record(job=accepted, events=[moved], actor=dispatcher, now=NOW)
    assert "pull:V1" in given(accepted)


@pytest.fixture
def elsewhere(
    accepted: Job, crew: dict[str, CrewMember], other: Job, wes: CrewMember, dispatcher: User
) -> None:
    """The forklift is at work for the other job, and this one waits for it."""
    fetched = report("piece_fetched", tag="007")
    events_record(job=accepted, events=[fetched], actor=dispatcher, now=NOW)
    assert given(other) == {"pull:W1"}
    assert "move:X9" not in given(accepted)


def test_the_forklift_is_given_to_one_dock_at_a_time(
    elsewhere: None, accepted: Job, other: Job, wes: CrewMember
) -> None:
    tell(other, wes.user, ("vault_pulled", "W1"))
    assert "move:X9" in given(accepted)


def test_clearing_the_dock_takes_its_turn_too(
    elsewhere: None, accepted: Job, other: Job, wes: CrewMember, dispatcher: User
) -> None:
    out = accepted.tasks.filter(kind="unpack", vault="V1").values_list("tag", flat=True)
    told = [report("vault_moved", vault="X9", lane="L2"), report("vault_pulled", vault="V1")]
    told += [report("piece_unpacked", tag=tag) for tag in out]
    events_record(job=accepted, events=told, actor=dispatcher, now=NOW)
    assert accepted.tasks.get(key="clear:V1").status == "ready"
    assert "clear:V1" not in given(accepted)
    tell(other, wes.user, ("vault_pulled", "W1"))
    assert "clear:V1" in given(accepted)


def test_a_pull_that_nobody_reported_does_not_keep_the_other_dock_for_ever(
    elsewhere: None, accepted: Job
) -> None:
    late = tasks_assign(job_id=accepted.id, now=NOW + FORGOTTEN_AFTER)
    assert "move:X9" in {one.task.key for one in late}


def test_the_jobs_that_the_forklift_is_free_for_are_known(
    accepted: Job, crew: dict[str, CrewMember], other: Job, dispatcher: User
) -> None:
    assert jobs_at_forklift(job=other) == [accepted]
    tell(accepted, dispatcher, ("vault_pulled", "V1"), ("vault_pulled", "V2"))
    moved = report("vault_moved", vault="X9", lane="L2")
    events_record(job=accepted, events=[moved], actor=dispatcher, now=NOW)
    assert jobs_at_forklift(job=other) == []


def test_the_dock_whose_schedule_wants_the_forklift_earlier_goes_first(
    accepted: Job, crew: dict[str, CrewMember], other: Job, wes: CrewMember, dispatcher: User
) -> None:
    fetched = report("piece_fetched", tag="007")
    events_record(job=accepted, events=[fetched], actor=dispatcher, now=NOW)
    planned(accepted, "move:X9", NOW + timedelta(minutes=1))
    planned(other, "pull:W1", NOW + timedelta(minutes=9))
    assert given(other) == set()
    resting = report("helper_break", member=crew["wim"].pk)
    events_record(job=accepted, events=[resting], actor=dispatcher, now=NOW)
    assert given(other) == {"pull:W1"}


def test_two_docks_never_wait_for_each_other(behind: Job, other: Job) -> None:
    """The one wanted earlier has to wait in its lane, so the other is not kept for it."""
    planned(behind, "pull:V1", NOW + timedelta(minutes=1))
    planned(other, "pull:W1", NOW + timedelta(minutes=9))
    assert given(behind) == set()
    assert given(other) == {"pull:W1"}


def test_only_who_is_certified_is_sent_with_the_forklift(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    walt = stage.make_person(accepted.branch, "walt", "warehouse")
    crew_member_put(job=accepted, user=walt, part="warehouse", now=NOW)
    skills_put(branch=accepted.branch, person=walt, kinds=["forklift"])
    (mine,) = (one for one in tasks_assign(job_id=accepted.id, now=NOW) if one.task.kind == "move")
    assert mine.person == walt
