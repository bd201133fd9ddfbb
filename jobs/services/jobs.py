"""Making a job, asking for its plan, closing it."""

from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid4

from django.db import IntegrityError, transaction

from inventory.models import User
from jobs.custody.accounting import open_tags
from jobs.errors import JobClosed, LoadHasJob, TagsOpen, WindowInvalid
from jobs.models import Job, JobState
from jobs.selectors.custody import job_tags
from jobs.services.earlier_jobs import document_after_others
from jobs.services.equipment import job_pads_settle
from jobs.services.leaving import job_goods_leave
from jobs.services.live import change_publish
from jobs.services.rates import branch_rates_correct
from jobs.services.rest_of_load import rest_of_load
from jobs.services.task_states import assignments_end
from loading.models import Load, PlanRun
from loading.services import plan_run_create


def job_create(
    *,
    load: Load,
    day: date,
    window_start: datetime,
    window_end: datetime,
    job_id: UUID | None = None,
) -> Job:
    """Make the job of a load. The same wish twice gives the same job.

    Raises `WindowInvalid`, and `LoadHasJob` where the load has a job at another time.
    """
    if window_end <= window_start:
        raise WindowInvalid
    wished = (day, window_start, window_end)
    try:
        with transaction.atomic():
            return Job.objects.create(
                id=job_id or uuid4(),
                branch=load.branch,
                load=load,
                day=day,
                window_start=window_start,
                window_end=window_end,
            )
    except IntegrityError:
        former = Job.objects.filter(load=load).first()
        if former is None:
            raise
        same_key = job_id is None or job_id == former.id
        if not same_key or wished != (former.day, former.window_start, former.window_end):
            raise LoadHasJob(load.reference) from None
        return former


@transaction.atomic
def job_plan(
    *,
    job: Job,
    seed: int,
    budget_s: float,
    requested_by: User | None = None,
    run_id: UUID | None = None,
    send: bool = True,
) -> PlanRun:
    """Ask for a plan of the job's load, in the lanes as the day's earlier jobs leave them; once
    something has been done, of the rest of it.

    A held shipment may be planned as well.
    """
    job = Job.objects.select_for_update(no_key=True, of=("self",)).get(pk=job.pk)
    if job.status == Job.Status.CLOSED:
        raise JobClosed(job.id)
    return plan_run_create(
        load=job.load,
        seed=seed,
        budget_s=budget_s,
        requested_by=requested_by,
        run_id=run_id,
        document=job_document(job=job),
        send=send,
    )


def job_document(*, job: Job) -> dict[str, Any] | None:
    """What a plan that is asked for now plans from; None where storage as it is says it all.

    Call with the job's row locked.
    """
    begun = JobState.objects.filter(job=job, sequence__gt=0).exists()
    rest = rest_of_load(job=job, former=job.tasks_plan) if begun and job.tasks_plan else None
    return rest.document if rest else document_after_others(job=job)


@transaction.atomic
def job_close(*, job: Job, now: datetime) -> Job:
    """End a job: nobody has a task of it any more, further events are refused, and what is on
    the truck leaves storage. A job that was never begun has nothing to account for.

    Raises `TagsOpen` while nobody has said what became of a piece of the accepted plan,
    `EquipmentUnexplained` while the truck's counted equipment differs from the ledger.
    """
    job = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
    if job.status != Job.Status.CLOSED:
        accounts = job_tags(job=job) if job.plan_id else ()
        if waiting := open_tags(accounts):
            raise TagsOpen(waiting)
        job_pads_settle(job=job, now=now)
        job_goods_leave(job=job, accounts=accounts, now=now)
        job.status = Job.Status.CLOSED
        job.save(update_fields=["status"])
        assignments_end(job=job, now=now, ending="withdrawn")
        branch_rates_correct(job=job, now=now)
        change_publish(job.id, job.branch_id)
    return job
