"""What another order of the pulls or a larger dock would give: asked, worked out, stored."""

import logging
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from celery import current_app
from django.db import transaction
from django.db.models import F, Q, QuerySet

from inventory.models import User
from loading.errors import StudyUuidReused
from loading.models import DockStudy, LoadPlan
from loading.planner.dockside import DockTrial
from loading.planner.ordering import OrderPrice, Study, Trial, plan_with_orders, study_of
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import LoadRequest
from loading.planner.stopping import Seconds
from loading.selectors import plan_of

log = logging.getLogger(__name__)

EXECUTE = "loading.background.plan_dock_study_execute"
QUEUE = "plan"
RESEND_AFTER = timedelta(seconds=60)
LEASE = timedelta(seconds=60)
ATTEMPTS_MAX = 3
BUDGET_MOST_S = 10.0

Planning = Callable[[LoadRequest], PlannedLoad]


def dock_study_create(
    *, study_id: UUID, plan: LoadPlan, now: datetime, by: User | None = None, send: bool = True
) -> DockStudy:
    """Ask what other orders and docks would give; a worker answers. The same UUID is one question.

    Each alternative gets the budget that the plan had, ten seconds at most. Raises
    `StudyUuidReused` where the UUID stands for another plan's question.
    """
    with transaction.atomic():
        study, new = DockStudy.objects.get_or_create(
            id=study_id,
            defaults={
                "plan": plan,
                "budget_s": min(plan.run.budget_s, BUDGET_MOST_S),
                "asked_at": now,
                "asked_by": by,
                "sent_at": now if send else None,
            },
        )
        if study.plan_id != plan.pk:
            raise StudyUuidReused(study_id)
        if new and send:
            # A broker that is down must not undo the wish: the row is sent again later.
            transaction.on_commit(lambda: _send(study.pk), robust=True)
    return study


def dock_study_execute(
    *,
    study_id: UUID,
    now: datetime,
    plan: Planning | None = None,
    workers: int = 1,
    clock: Callable[[], float] = time.monotonic,
) -> DockStudy | None:
    """Answer a question; None when another worker holds it or it is answered.

    `plan` plans one alternative; it defaults to the planner's own search within the budget.
    """
    study = _claimed(study_id, now)
    if study is None:
        return None
    began_s = clock()
    planning = plan or _search(study, workers, clock)

    def moment() -> datetime:
        return now + timedelta(seconds=clock() - began_s)

    def planned(request: LoadRequest) -> PlannedLoad:
        lease = moment() + LEASE + timedelta(seconds=study.budget_s)
        _held(study).update(lease_until=lease)
        return planning(request)

    try:
        request, standing = plan_of(plan=study.plan)
        standing = replace(standing, figures=study.plan.figures)  # the checker's
        answer = _told(study_of(request, standing, planned, seed=study.plan.run.seed))
    except Exception as error:
        _finish(study, moment(), problem=f"{type(error).__name__}: {error}"[:300])
        raise
    return _finish(study, moment(), answer=answer)


def dock_studies_resend(*, now: datetime) -> list[UUID]:
    """Send again the questions whose message or worker must be lost, and say which."""
    lost = Q(status=DockStudy.Status.QUEUED) | Q(
        status=DockStudy.Status.RUNNING, lease_until__lt=now
    )
    due = DockStudy.objects.filter(lost, sent_at__lt=now - RESEND_AFTER)
    resent = []
    for study_id in list(due.order_by("asked_at").values_list("id", flat=True)):
        if due.filter(id=study_id).update(sent_at=now):
            _send(study_id)
            resent.append(study_id)
    return resent


def _told(study: Study) -> dict[str, Any]:
    """As it is stored: `orders` (the plan's own first), `price` or null, `docks`."""
    front = study.front
    return {
        "orders": [_order(one, one in front) for one in (study.now, *study.others)],
        "price": None if study.price is None else _price(study.price),
        "docks": [_dock(trial) for trial in study.docks],
    }


def _order(trial: Trial, in_front: bool) -> dict[str, Any]:
    return {
        "order": list(trial.order),
        "moves": trial.moves,
        "loaded": trial.loaded,
        "length_mm": trial.length_mm,
        "floor_peak_mm2": trial.floor_peak_mm2,
        "in_front": in_front,
    }


def _price(price: OrderPrice) -> dict[str, Any]:
    return {
        "waiting": len(price.waits),
        "wait_s": price.wait_s,
        "sooner": price.sooner,
        "more_loaded": price.more_loaded,
        "shorter_mm": price.shorter_mm,
        "fewer_moves": price.fewer_moves,
    }


def _dock(trial: DockTrial) -> dict[str, Any]:
    return {
        "change": trial.change,
        "vault_spots": trial.dock.vault_spots,
        "floor_mm2": trial.dock.floor_mm2,
        "more_loaded": trial.more_loaded,
        "shorter_mm": trial.shorter_mm,
        "fewer_moves": trial.fewer_moves,
        "pays": trial.pays,
    }


def _search(study: DockStudy, workers: int, clock: Callable[[], float]) -> Planning:
    # Imported here: the kernels are large, and only a process that plans should carry them.
    from loading.planner.search import plan_load, warm

    warm()

    def planned(request: LoadRequest) -> PlannedLoad:
        stop = Seconds(study.budget_s, clock)
        seed = study.plan.run.seed
        if request.pull_order is not None:
            return plan_load(request, seed=seed, stop=stop, workers=workers)
        return plan_with_orders(plan_load, request, seed=seed, stop=stop, workers=workers)

    return planned


def _claimed(study_id: UUID, now: datetime) -> DockStudy | None:
    free = Q(status=DockStudy.Status.QUEUED) | Q(
        status=DockStudy.Status.RUNNING, lease_until__lt=now
    )
    claimed = DockStudy.objects.filter(free, id=study_id).update(
        status=DockStudy.Status.RUNNING, attempt=F("attempt") + 1, lease_until=now + LEASE
    )
    if not claimed:
        return None
    study = DockStudy.objects.select_related("plan__run").get(id=study_id)
    if study.attempt > ATTEMPTS_MAX:
        _finish(study, now, problem=f"{ATTEMPTS_MAX} workers were lost over it")
        return None
    return study


def _held(study: DockStudy) -> QuerySet[DockStudy]:
    return DockStudy.objects.filter(
        id=study.pk, status=DockStudy.Status.RUNNING, attempt=study.attempt
    )


def _finish(
    study: DockStudy, now: datetime, *, answer: dict[str, Any] | None = None, problem: str = ""
) -> DockStudy:
    """Write what came of it, unless another worker has taken it over meanwhile."""
    status = DockStudy.Status.FAILED if problem else DockStudy.Status.DONE
    _held(study).update(
        status=status, answer=answer, problem=problem, lease_until=None, finished_at=now
    )
    if problem:
        log.error("dock study failed", extra={"study_id": str(study.pk), "problem": problem})
    study.refresh_from_db()
    return study


def _send(study_id: UUID) -> None:
    current_app.send_task(EXECUTE, kwargs={"study_id": str(study_id)}, queue=QUEUE)
