"""Making a job, asking for its plan, accepting a version of it."""

import copy
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from inventory.models import Hold, User
from jobs.errors import JobClosed, LoadHasJob, NotOfBranch, PlanOfAnotherLoad, WindowInvalid
from jobs.models import Assignment, CrewMember, Job, Task
from jobs.services import (
    crew_member_put,
    events_record,
    job_accept_plan,
    job_close,
    job_create,
    tasks_assign,
    work_resend,
)
from loading.models import Load, LoadPlan
from tests.jobs.reports import report
from tests.jobs.scenario import PLAN
from tests.jobs.stage import DAY, NOW, account_for_all, store_plan


def _statuses(job: Job) -> dict[str, str]:
    return dict(job.tasks.values_list("key", "status"))


def test_the_same_wish_twice_gives_one_job(job: Job, load: Load) -> None:
    again = job_create(load=load, day=DAY, window_start=job.window_start, window_end=job.window_end)
    assert again == job
    assert Job.objects.count() == 1


def test_a_load_has_one_job(job: Job, load: Load) -> None:
    with pytest.raises(LoadHasJob) as caught:
        job_create(
            load=load,
            day=DAY + timedelta(days=1),
            window_start=job.window_start,
            window_end=job.window_end,
        )
    assert caught.value.reference == load.reference


def test_a_window_ends_after_it_begins(load: Load) -> None:
    with pytest.raises(WindowInvalid):
        job_create(load=load, day=DAY, window_start=NOW, window_end=NOW)


def test_accepting_a_plan_makes_its_tasks(job: Job, plan: LoadPlan, dispatcher: User) -> None:
    job = job_accept_plan(job=job, plan=plan, by=dispatcher, now=NOW)
    assert (job.status, job.plan, job.tasks_plan) == ("accepted", plan, plan)
    statuses = _statuses(job)
    assert len(statuses) == 31
    assert {key for key, status in statuses.items() if status == "ready"} == {
        "move:X9",
        "fetch:007",
    }


def test_accepting_twice_changes_nothing(job: Job, plan: LoadPlan) -> None:
    job_accept_plan(job=job, plan=plan, by=None, now=NOW)
    before = list(job.tasks.values())
    job_accept_plan(job=job, plan=plan, by=None, now=NOW + timedelta(hours=1))
    assert list(job.tasks.values()) == before
    job.refresh_from_db()
    assert job.accepted_at == NOW


def test_a_new_version_withdraws_what_no_longer_applies(
    accepted: Job, crew: dict[str, CrewMember], load: Load
) -> None:
    tasks_assign(job_id=accepted.id, now=NOW)
    assert Assignment.objects.filter(task__key="fetch:007", ended_at=None).exists()
    without_mattress = copy.deepcopy(PLAN)
    without_mattress["steps"] = [s for s in PLAN["steps"] if s.get("tag") != "007"]
    without_mattress["placements"] = [p for p in PLAN["placements"] if p["tag"] != "007"]
    without_mattress["left_off"] = [{"tag": "007", "reason": "R3"}]
    second = store_plan(load, without_mattress)
    job_accept_plan(job=accepted, plan=second, by=None, now=NOW)
    statuses = _statuses(accepted)
    assert {key for key, status in statuses.items() if status == "withdrawn"} == {
        "fetch:007",
        "carry:007",
        "load:007",
    }
    assert statuses["move:X9"] == "assigned"
    endings = Assignment.objects.filter(task__key="fetch:007").values_list("ending", flat=True)
    assert list(endings) == ["withdrawn", "withdrawn"]
    assert Task.objects.get(job=accepted, key="load:006").plan == second


def test_what_was_done_stays_done_in_the_next_version(
    accepted: Job, dispatcher: User, load: Load
) -> None:
    events_record(
        job=accepted,
        events=[report("vault_moved", vault="X9", lane="L2")],
        actor=dispatcher,
        now=NOW,
    )
    second = store_plan(load)
    job_accept_plan(job=accepted, plan=second, by=None, now=NOW)
    statuses = _statuses(accepted)
    assert (statuses["move:X9"], statuses["pull:V1"]) == ("done", "ready")


def test_going_back_to_a_former_version_brings_its_tasks_back(
    accepted: Job, plan: LoadPlan, load: Load
) -> None:
    first = _statuses(accepted)
    without_fill = copy.deepcopy(PLAN)
    without_fill["steps"] = [s for s in PLAN["steps"] if s["do"] != "fill"]
    without_fill["fills"] = []
    job_accept_plan(job=accepted, plan=store_plan(load, without_fill), by=None, now=NOW)
    assert _statuses(accepted)["fill:1"] == "withdrawn"
    job_accept_plan(job=accepted, plan=plan, by=None, now=NOW)
    assert _statuses(accepted) == first


def test_a_plan_of_another_load_is_refused(job: Job, plan: LoadPlan, load: Load) -> None:
    load.pk, load.reference = None, "other"
    load.save()
    other = job_create(load=load, day=DAY, window_start=job.window_start, window_end=job.window_end)
    with pytest.raises(PlanOfAnotherLoad):
        job_accept_plan(job=other, plan=plan, by=None, now=NOW)
    assert not other.tasks.exists()


def test_a_held_shipment_has_no_tasks_until_the_hold_is_lifted(
    job: Job, plan: LoadPlan, hold: Hold, dispatcher: User
) -> None:
    job = job_accept_plan(job=job, plan=plan, by=None, now=NOW)
    assert (job.status, job.plan, job.tasks_plan) == ("accepted", plan, None)
    work_resend(now=NOW)
    assert not job.tasks.exists()
    hold.lifted_at, hold.lifted_by = NOW, dispatcher
    hold.save()
    work_resend(now=NOW)
    assert job.tasks.filter(status="ready").count() == 2


def test_a_hold_that_comes_later_stops_the_giving_out(
    accepted: Job, crew: dict[str, CrewMember], hold: Hold
) -> None:
    assert not tasks_assign(job_id=accepted.id, now=NOW)
    assert not Assignment.objects.exists()


def test_a_closed_job_takes_no_plan_and_no_crew(
    accepted: Job, crew: dict[str, CrewMember], plan: LoadPlan, dispatcher: User
) -> None:
    tasks_assign(job_id=accepted.id, now=NOW)
    account_for_all(accepted, dispatcher)
    closed = job_close(job=accepted, now=NOW)
    assert not Assignment.objects.filter(ended_at=None).exists()
    with pytest.raises(JobClosed):
        job_accept_plan(job=closed, plan=plan, by=None, now=NOW)
    with pytest.raises(JobClosed):
        crew_member_put(job=closed, user=crew["lou"].user, part="loader")


def test_somebody_of_another_branch_is_not_put_on_the_crew(job: Job, stranger: User) -> None:
    with pytest.raises(NotOfBranch):
        crew_member_put(job=job, user=stranger, part="helper")


def test_the_database_lets_nobody_have_two_tasks(
    accepted: Job, crew: dict[str, CrewMember]
) -> None:
    member = crew["hanne"]
    first, second = accepted.tasks.all()[:2]
    Assignment.objects.create(task=first, member=member, person=member.user, given_at=NOW)
    with pytest.raises(IntegrityError, match="one_task_at_a_time"), transaction.atomic():
        Assignment.objects.create(task=second, member=member, person=member.user, given_at=NOW)
