"""Planning the rest of a load anew: asked for by what happened, carried out by a worker."""

import time
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Final
from uuid import UUID

import structlog
from django.db import IntegrityError, transaction
from django.db.models import Q

from jobs.models import Job, Replan
from jobs.services.live import change_publish
from jobs.services.replan_ending import replan_end, replan_publish
from jobs.services.rest_of_load import rest_of_load
from jobs.services.sending import replan_send_now
from loading.errors import DocumentInvalid
from loading.models import LoadPlan
from loading.services import plan_run_create, plan_run_execute
from loading.services.plan_execution import Search

BUDGET_S: Final = 1.65  # s of search: the plan of 250 pieces is there, judged, in 2
SECOND_LOOK_S: Final = 8.0
# Where a piece would be left behind. Whatever happens ends a second look: nobody waits for it.
LONG_LOOK_S: Final = 24.0
SEED: Final = 1
LEASE: Final = timedelta(seconds=60)
RESEND_AFTER: Final = timedelta(seconds=5)

log = structlog.get_logger()


def replan_execute(
    *,
    replan_id: UUID,
    worker: str,
    now: datetime,
    budget_s: float | None = None,
    search: Search | None = None,
    workers: int = 1,
    clock: Callable[[], float] = time.monotonic,
) -> Replan | None:
    """Plan the rest of a load from what has been done, and publish it if it is better.

    None when another worker has it or it is settled. Safe to start twice and to kill: whoever
    claims it after the lease plans again. `budget_s` (s): `BUDGET_S`, or for a second look
    `SECOND_LOOK_S`, `LONG_LOOK_S` where it goes on from a plan that leaves pieces off. `search`
    and `clock` as for a plan run.
    """
    begun_s = clock()
    replan = _claim(replan_id, worker, now, budget_s)
    if replan is None or replan.run_id is None:
        return replan
    plan: LoadPlan | None = None
    try:
        plan = plan_run_execute(
            run_id=replan.run_id,
            worker=worker,
            now=now,
            former=replan.former,
            search=search,
            workers=workers,
            clock=clock,
        )
    except Exception:
        log.exception("replan.search_failed", replan=str(replan.id))
    ended = now + timedelta(seconds=clock() - begun_s)
    replan_publish(replan=replan, plan=plan, now=ended)
    _next_send(replan.job_id)
    return Replan.objects.get(pk=replan.pk)


def replans_resend(*, now: datetime) -> list[UUID]:
    """Send again what waits though its message must be lost, or whose worker is gone."""
    asked = Q(status=Replan.Status.ASKED, asked_at__lt=now - RESEND_AFTER)
    lost = Q(status=Replan.Status.PLANNING, lease_until__lt=now)
    due = list(Replan.objects.filter(asked | lost).order_by("asked_at"))
    for replan in due:
        replan_send_now(replan)
    return [replan.id for replan in due]


def _next_send(job_id: UUID) -> None:
    """What was asked for meanwhile has waited for its turn."""
    for replan in Replan.objects.filter(job=job_id, status=Replan.Status.ASKED):
        replan_send_now(replan)


@transaction.atomic
def _claim(replan_id: UUID, worker: str, now: datetime, budget_s: float | None) -> Replan | None:
    """Take the replan, and freeze what it plans from; its run is None if there is nothing to."""
    replan = Replan.objects.filter(pk=replan_id).first()
    if replan is None:
        return None
    job = Job.objects.select_for_update(no_key=True, of=("self",)).get(pk=replan.job_id)
    if not _taken(replan_id, worker, now):
        return None
    replan.refresh_from_db()
    if job.status == Job.Status.CLOSED or job.tasks_plan is None:
        return replan_end(replan, Replan.Status.OVERTAKEN, now)
    try:
        _plan_from_here(job, job.tasks_plan, replan, budget_s)
    except DocumentInvalid as error:
        log.warning("replan.nothing_to_plan", replan=str(replan.id), error=str(error))
        return replan_end(replan, Replan.Status.FAILED, now, {"problem": str(error)})
    change_publish(job.id, job.branch_id)
    return replan


def _taken(replan_id: UUID, worker: str, now: datetime) -> bool:
    free = Q(status=Replan.Status.ASKED) | Q(status=Replan.Status.PLANNING, lease_until__lt=now)
    try:
        with transaction.atomic():
            taken = Replan.objects.filter(free, pk=replan_id).update(
                status=Replan.Status.PLANNING, claimed_by=worker, lease_until=now + LEASE
            )
    except IntegrityError:
        return False  # another replan of this job is at work; it sends this one when it ends
    return bool(taken)


def _plan_from_here(job: Job, former: LoadPlan, replan: Replan, budget_s: float | None) -> None:
    rest = rest_of_load(job=job, former=former)
    replan.run = plan_run_create(
        load=job.load,
        # A second look begins with other dice than the first.
        seed=SEED + replan.second_look,
        budget_s=budget_s or (_look_s(former) if replan.second_look else BUDGET_S),
        improves=replan.second_look,
        document=rest.document,
        send=False,
    )
    replan.former, replan.frozen = former, list(rest.frozen)
    replan.after_sequence, replan.attempt = rest.after_sequence, replan.attempt + 1
    replan.save(update_fields=["run", "former", "frozen", "after_sequence", "attempt"])


def _look_s(former: LoadPlan) -> float:
    return LONG_LOOK_S if former.document["left_off"] else SECOND_LOOK_S
