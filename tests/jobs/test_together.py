"""Several at once: threads with connections of their own, and a real Celery worker."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import chain
from threading import Barrier
from typing import TYPE_CHECKING, TypeVar

import psycopg
import pytest
from django.db import connection, connections

from inventory.models import User
from jobs.models import Assignment, CrewMember, Event, Job, JobState, Stream, Task
from jobs.selectors.events import job_state_fresh
from jobs.services import crew_member_put, events_record, job_accept_plan, tasks_assign, work_resend
from loading.models import Load
from tests.jobs import stage
from tests.jobs.reports import report, report_done
from tests.jobs.stage import NOW

if TYPE_CHECKING:
    from tests.conftest import StartWorker

pytestmark = pytest.mark.django_db(transaction=True)

Answer = TypeVar("Answer")

NOTIFY = """
CREATE FUNCTION tests_given() RETURNS trigger AS $$
BEGIN PERFORM pg_notify('given', NEW.task_id::text); RETURN NULL; END $$ LANGUAGE plpgsql;
CREATE TRIGGER tests_given AFTER INSERT ON jobs_assignment
    FOR EACH ROW EXECUTE FUNCTION tests_given();
"""
PATIENCE_S = 300
"""Before a worker takes its first message it compiles the search's kernels, once per checkout."""

SILENT = "DROP TRIGGER tests_given ON jobs_assignment; DROP FUNCTION tests_given();"


@pytest.fixture
def running(transactional_db: None) -> Job:
    """A job with tasks and a crew, committed."""
    load = stage.make_load(stage.make_branch())
    plan = stage.store_plan(load)
    return job_accept_plan(job=stage.make_job(load), plan=plan, by=None, now=NOW)


def _at_once(calls: list[Callable[[], Answer]]) -> list[Answer]:
    """Run the calls in threads that all begin together."""
    barrier = Barrier(len(calls))

    def run(call: Callable[[], Answer]) -> Answer:
        try:
            barrier.wait()
            return call()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(calls)) as pool:
        return list(pool.map(run, calls))


def test_workers_that_assign_at_once_give_each_task_once(running: Job) -> None:
    crew = stage.make_crew(running)
    given = _at_once([lambda: list(tasks_assign(job_id=running.id, now=NOW))] * 4)
    people = [assignment.person_id for assignment in chain.from_iterable(given)]
    assert sorted(people) == sorted(crew[name].user_id for name in ("wim", "hanne", "hugo"))
    assert Assignment.objects.count() == 3


def test_two_jobs_with_one_helper_give_him_one_task(running: Job) -> None:
    hugo = stage.make_person(running.branch, "hugo", "helper")
    load = running.load
    load.pk, load.reference = None, "second"
    load.save()
    second = stage.make_job(load)
    second = job_accept_plan(job=second, plan=stage.store_plan(load), by=None, now=NOW)
    for job in (running, second):
        crew_member_put(job=job, user=hugo, part="helper")
    _at_once([lambda j=job: tasks_assign(job_id=j.id, now=NOW) for job in (running, second)])  # type: ignore[misc]
    assert Assignment.objects.filter(person=hugo, ended_at=None).count() == 1


def test_two_docks_at_once_have_one_forklift_between_them(running: Job) -> None:
    jobs = [running]
    for name in ("second", "third"):
        load = Load.objects.get(pk=running.load_id)
        load.pk, load.reference = None, name
        load.save()
        plan = stage.store_plan(load)
        jobs.append(job_accept_plan(job=stage.make_job(load), plan=plan, by=None, now=NOW))
    for number, job in enumerate(jobs):
        driver = stage.make_person(job.branch, f"driver {number}", "warehouse")
        crew_member_put(job=job, user=driver, part="warehouse")
    dana = stage.make_person(running.branch, "dana", "dispatcher")
    for job in jobs:
        fetched = report("piece_fetched", tag="007")
        events_record(job=job, events=[fetched], actor=dana, now=NOW)
    _at_once([lambda j=job: tasks_assign(job_id=j.id, now=NOW) for job in jobs])  # type: ignore[misc]
    assert Assignment.objects.filter(task__kind="move", ended_at=None).count() == 1


def test_phones_that_report_at_once_leave_no_gap_and_no_double(running: Job) -> None:
    dana = stage.make_person(running.branch, "dana", "dispatcher")
    shared = [report("vault_moved", vault="X9", lane="L2")]
    batches = [[*shared, *(report("piece_missing", tag="001") for _ in range(5))] for _ in range(4)]
    answers = _at_once(
        [
            lambda b=batch: events_record(job=running, events=b, actor=dana, now=NOW)  # type: ignore[misc]
            for batch in batches
        ]
    )
    firsts = sorted(batch[0].answer for batch in answers)
    assert firsts == ["recorded", "repeated", "repeated", "repeated"]
    stream = Stream.objects.get(kind="job")
    numbers = list(stream.events.values_list("sequence", flat=True))
    assert numbers == list(range(1, 22))
    assert stream.last_sequence == 21
    assert JobState.objects.get().state == job_state_fresh(job=running)


def test_one_uuid_for_two_jobs_at_once_is_recorded_once(running: Job) -> None:
    dana = stage.make_person(running.branch, "dana", "dispatcher")
    load = running.load
    load.pk, load.reference = None, "second"
    load.save()
    second = stage.make_job(load)
    event = report("piece_missing", tag="001")
    answers = _at_once(
        [
            lambda j=job: events_record(job=j, events=[event], actor=dana, now=NOW)  # type: ignore[misc]
            for job in (running, second)
        ]
    )
    said = sorted((batch[0].answer, batch[0].code) for batch in answers)
    assert said[-1] == ("refused", "uuid_reused")
    assert Event.objects.count() == 1


@pytest.fixture
def given(running: Job) -> Iterator[Iterator[str]]:
    """The ids of tasks as they are given out, each waited for by a blocking read."""
    with connection.cursor() as cursor:
        cursor.execute(NOTIFY)
    listening = psycopg.connect(autocommit=True, **_address())
    listening.execute("LISTEN given")
    yield (notify.payload for notify in listening.notifies(timeout=PATIENCE_S))
    listening.close()
    with connection.cursor() as cursor:
        cursor.execute(SILENT)


def _address() -> dict[str, str]:
    database = connection.settings_dict
    address = {
        "dbname": database["NAME"],
        "user": database["USER"],
        "password": database["PASSWORD"],
        "host": database["HOST"],
        "port": str(database["PORT"]),
    }
    return {key: value for key, value in address.items() if value}


def test_a_real_worker_gives_out_a_whole_job(
    running: Job, given: Iterator[str], start_worker: StartWorker
) -> None:
    """The crew only reports; every task comes from the worker, in the order of the tiers."""
    start_worker("dispatch", processes=2)
    crew = stage.make_crew(running)
    by_person: dict[int, CrewMember] = {member.user_id: member for member in crew.values()}
    loaded: list[str] = []
    finished: set[str] = set()
    for task_id in given:
        if task_id in finished:
            continue
        finished.add(task_id)
        task = Task.objects.get(pk=task_id)
        actor = by_person[task.assignments.filter(ended_at=None)[0].person_id].user
        events_record(job=running, events=[report_done(task)], actor=actor, now=NOW)
        loaded += [task.key] if task.kind in ("load", "close") else []
        if len(finished) == running.tasks.count():
            break
    assert set(running.tasks.values_list("status", flat=True)) == {"done"}
    assert loaded == [
        *(f"load:00{number}" for number in range(1, 6)),
        "close:1",
        "load:006",
        "load:007",
        "close:2",
    ]
    assert not Event.objects.filter(outcome="conflict").exists()


def test_the_sweep_finds_work_whose_message_was_lost(
    running: Job, given: Iterator[str], start_worker: StartWorker
) -> None:
    user = stage.make_person(running.branch, "wim", "warehouse")
    # Put on the crew behind the services' back: nobody is told.
    CrewMember.objects.create(job=running, user=user, part="warehouse")
    start_worker("dispatch")
    assert work_resend(now=NOW) == [running.id]
    assert str(Task.objects.get(key="move:X9").pk) == next(given)


def test_the_sweep_leaves_jobs_alone_where_nobody_is_free(running: Job) -> None:
    assert work_resend(now=NOW) == []
    assert User.objects.count() == 0
