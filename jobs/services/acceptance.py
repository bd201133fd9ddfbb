"""Accepting a plan: its steps become the job's tasks."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from django.db import connection, transaction

from inventory.models import User
from jobs.errors import JobClosed, PlanOfAnotherLoad
from jobs.models import Assignment, Job, Task
from jobs.scheduling import FloorTask, floor_tasks
from jobs.selectors.states import job_state
from jobs.services.live import change_publish
from jobs.services.schedule_asking import schedule_ask
from jobs.services.sending import assigning_send
from jobs.services.task_states import assignments_end, standing_tasks, task_states_write
from jobs.services.wishes import wished_tasks_make
from loading.models import LoadPlan
from loading.selectors import load_is_held, plan_of

_FROM_THE_PLAN = (
    "plan",
    "sequence",
    "tier",
    "tag",
    "vault",
    "lane",
    "fill",
    "turn",
    "people",
    "weight_g",
    "needs_equipment",
    "needs",
    "status",
)
_NUMBERED = ("plan", "sequence")


@transaction.atomic
def job_accept_plan(*, job: Job, plan: LoadPlan, by: User | None, now: datetime) -> Job:
    """Take on a version of the plan and make its tasks; accepting it twice changes nothing.

    Tasks of a former version that no longer apply are withdrawn, unless they are done or
    begun. While the office holds the shipment the plan is taken on, but there are no tasks;
    `job_tasks_make` makes them when the hold is lifted. Raises `JobClosed` and
    `PlanOfAnotherLoad`.
    """
    job = Job.objects.select_for_update(no_key=True, of=("self",)).get(pk=job.pk)
    if job.status == Job.Status.CLOSED:
        raise JobClosed(job.id)
    if plan.load_id != job.load_id:
        raise PlanOfAnotherLoad(job.load.reference, plan.version)
    if job.plan_id != plan.pk:
        job.plan, job.accepted_at, job.accepted_by = plan, now, by
        if job.status == Job.Status.PLANNED:
            job.status = Job.Status.ACCEPTED
        job.save(update_fields=["plan", "accepted_at", "accepted_by", "status"])
    _tasks_follow(job, now)
    change_publish(job.id, job.branch_id)
    return job


@transaction.atomic
def job_tasks_make(*, job: Job, now: datetime) -> bool:
    """Make the tasks of a job whose accepted plan waits for them; say whether there are any new."""
    job = Job.objects.select_for_update(no_key=True, of=("self",)).get(pk=job.pk)
    return job.status != Job.Status.CLOSED and _tasks_follow(job, now)


def _tasks_follow(job: Job, now: datetime) -> bool:
    plan = job.plan
    if plan is None or job.tasks_plan_id == plan.pk:
        return False
    if load_is_held(load=job.load):
        return False
    request, load_plan = plan_of(plan=plan)
    # With its progress: what is done is no more to do, and what is frozen still is.
    _tasks_renew(job, plan, floor_tasks(replace(request, progress=None), load_plan), now)
    job.tasks_plan = plan
    job.save(update_fields=["tasks_plan"])
    state = job_state(job=job)
    tasks = wished_tasks_make(job=job, state=state, tasks=standing_tasks(job))
    task_states_write(job=job, state=state, tasks=tasks, now=now)
    schedule_ask(job=job, now=now)
    assigning_send(job.id)
    change_publish(job.id, job.branch_id)
    return True


def _tasks_renew(job: Job, plan: LoadPlan, wanted: Sequence[FloorTask], now: datetime) -> None:
    former = {task.key: task for task in job.tasks.all()}
    kept = {key: _said(task) for key, task in former.items()}
    rows = [_row(job, plan, task, former) for task in wanted]
    _sequence_write(plan, [row for row in rows if kept.get(row.key) == _said(row)])
    Task.objects.bulk_create(
        [row for row in rows if kept.get(row.key) != _said(row)],
        batch_size=500,
        update_conflicts=True,
        unique_fields=["job", "key"],
        update_fields=_FROM_THE_PLAN,
    )
    keys = {task.key for task in wanted}
    settled = (Task.Status.DONE, Task.Status.BEGUN)
    dropped = [
        task
        for key, task in former.items()
        if key not in keys and task.status not in settled and task.kind != Task.Kind.STOW
    ]
    Task.objects.filter(pk__in=[task.pk for task in dropped]).update(status=Task.Status.WITHDRAWN)
    assignments_end(job=job, now=now, ending=Assignment.Ending.WITHDRAWN, tasks=dropped)


def _said(task: Task) -> tuple[object, ...]:
    """All that the plan says of a task but its number."""
    return tuple(getattr(task, name) for name in _FROM_THE_PLAN if name not in _NUMBERED)


def _sequence_write(plan: LoadPlan, rows: Sequence[Task]) -> None:
    """Give tasks that stay as they were their number in the new plan, all in one short statement:
    people wait for it, and a household has a thousand."""
    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE jobs_task SET plan_id = %s, sequence = renewed.sequence "
            "FROM unnest(%s::uuid[], %s::integer[]) AS renewed(id, sequence) "
            "WHERE jobs_task.id = renewed.id",
            [plan.pk, [row.pk for row in rows], [row.sequence for row in rows]],
        )


def _row(job: Job, plan: LoadPlan, task: FloorTask, former: Mapping[str, Task]) -> Task:
    row = former.get(task.key) or Task(job=job, key=task.key, kind=task.kind.value)
    if row.status == Task.Status.WITHDRAWN:
        row.status = Task.Status.WAITING
    row.plan, row.sequence, row.turn, row.people = plan, task.sequence, task.turn, task.people
    row.tier, row.fill, row.weight_g = task.tier, task.fill, task.weight_g
    row.tag, row.vault, row.lane = task.tag or "", task.vault or "", task.lane or ""
    row.needs, row.needs_equipment = list(task.needs), task.needs_equipment
    return row
