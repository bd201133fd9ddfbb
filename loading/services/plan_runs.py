"""Asking for a plan, calling it off, and sending again what the broker lost."""

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

from celery import current_app
from django.db import IntegrityError, transaction
from django.db.models import Q
from django.utils import timezone

from inventory.models import User
from loading.errors import RunFinished, RunIdReused
from loading.models import Load, PlanRun
from loading.selectors.documents import load_request_document
from loading.services.contract import request_parsed

EXECUTE = "loading.background.plan_run_execute"
QUEUE = "plan"
RESEND_AFTER = timedelta(seconds=60)


def plan_run_create(
    *,
    load: Load,
    seed: int,
    budget_s: float,
    requested_by: User | None = None,
    progress: dict[str, Any] | None = None,
    document: dict[str, Any] | None = None,
    run_id: UUID | None = None,
    improves: bool = False,
    send: bool = True,
) -> PlanRun:
    """Write the row of a run and, once it is committed, send it to the planning workers.

    The request is frozen into the row as storage stands now. A `run_id` may arrive twice: the
    same wish gives the same run, another one raises `RunIdReused`. `send=False` is for callers
    who execute the run themselves, `document` for those who know better than storage what is there
    (a load that has been begun). `improves`: see `PlanRun`. Raises `DocumentInvalid` naming the
    bad keys.
    """
    run_id = run_id or uuid4()
    former = PlanRun.objects.filter(id=run_id).first()
    if former is not None and document is not None:
        # What has been done by now is another progress than at the first asking.
        progress = former.request_document["progress"]
    if former is not None:
        return _same_or_refused(former, load=load, seed=seed, budget_s=budget_s, progress=progress)
    if document is None:
        document = load_request_document(load=load, progress=progress)
    request = request_parsed(document)
    try:
        with transaction.atomic():
            run = PlanRun.objects.create(
                id=run_id,
                load=load,
                request_document=document,
                pieces=sum(item.leaves for item in request.items),
                seed=seed,
                budget_s=budget_s,
                improves=improves,
                requested_by=requested_by,
                sent_at=timezone.now() if send else None,
            )
            if send:
                # A broker that is down must not undo the wish: the row is sent again later.
                transaction.on_commit(lambda: _send(run_id), robust=True)
    except IntegrityError:
        former = PlanRun.objects.filter(id=run_id).first()
        if former is None:
            raise
        return _same_or_refused(former, load=load, seed=seed, budget_s=budget_s, progress=progress)
    return run


def plan_run_cancel(*, run_id: UUID, now: datetime) -> PlanRun:
    """Call a run off; its worker notices within a second. Cancelling twice is one cancelling.

    Raises `RunFinished` when the run has ended otherwise.
    """
    PlanRun.objects.filter(id=run_id, status__in=["queued", "running"]).update(
        status=PlanRun.Status.CANCELLED, lease_until=None, finished_at=now
    )
    run = PlanRun.objects.get(id=run_id)
    if run.status != PlanRun.Status.CANCELLED:
        raise RunFinished(run_id, run.status)
    return run


def plan_run_accept_early(*, run_id: UUID, now: datetime) -> PlanRun:
    """Let a run end with the best plan that it has found; its worker notices within a second.

    One that waits for a worker ends with the first plan. Asking twice is asking once. Raises
    `RunFinished` when the run has ended before anybody asked.
    """
    open_runs = PlanRun.objects.filter(id=run_id, status__in=["queued", "running"])
    open_runs.filter(enough_at__isnull=True).update(enough_at=now)
    run = PlanRun.objects.get(id=run_id)
    if run.enough_at is None:
        raise RunFinished(run_id, run.status)
    return run


def plan_runs_resend(*, now: datetime) -> list[UUID]:
    """Send again the runs that wait though their message must be lost, and say which.

    Lost are runs still queued a minute after they were sent, and runs whose worker let its lease
    run out. A message too many does no harm: only one worker can claim a run.
    """
    lost = Q(status=PlanRun.Status.QUEUED) | Q(status=PlanRun.Status.RUNNING, lease_until__lt=now)
    due = PlanRun.objects.filter(lost, sent_at__lt=now - RESEND_AFTER)
    resent = []
    for run_id in due.order_by("created_at").values_list("id", flat=True):
        if due.filter(id=run_id).update(sent_at=now):
            _send(run_id)
            resent.append(run_id)
    return resent


def _send(run_id: UUID) -> None:
    current_app.send_task(EXECUTE, kwargs={"run_id": str(run_id)}, queue=QUEUE)


def _same_or_refused(
    run: PlanRun,
    *,
    load: Load,
    seed: int,
    budget_s: float,
    progress: dict[str, Any] | None,
) -> PlanRun:
    wished = (load.pk, seed, budget_s, progress)
    stored = (run.load_id, run.seed, run.budget_s, run.request_document["progress"])
    if wished != stored:
        raise RunIdReused(run.id)
    return run
