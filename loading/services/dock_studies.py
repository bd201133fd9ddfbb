"""What another order of the pulls or a larger dock would give: asked, worked out, stored."""

import time
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from inventory.models import User
from loading.errors import StudyUuidReused
from loading.models import DockStudy, LoadPlan
from loading.planner.dockside import DockTrial
from loading.planner.ordering import OrderPrice, Study, Trial, study_of
from loading.selectors import plan_of
from loading.services.questions import (
    Planning,
    planning_within,
    question_answer,
    question_claim,
    question_send,
    questions_resend,
    sender,
)

BUDGET_MOST_S = 10.0

_send = sender("loading.background.plan_dock_study_execute", "study_id")


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
            question_send(study, _send)
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
    asked = DockStudy.objects.select_related("plan__run")
    study = question_claim(asked, question_id=study_id, now=now)
    if study is None:
        return None
    seed = study.plan.run.seed
    return question_answer(
        study,
        now=now,
        clock=clock,
        budget_s=study.budget_s,
        planning=lambda: plan or planning_within(study.budget_s, seed, clock, workers),
        answer=lambda planned: _answer(study, planned),
    )


def dock_studies_resend(*, now: datetime) -> list[UUID]:
    """Send again the questions whose message or worker must be lost, and say which."""
    return questions_resend(DockStudy.objects.all(), now=now, send=_send)


def _answer(study: DockStudy, planned: Planning) -> dict[str, Any]:
    request, standing = plan_of(plan=study.plan)
    standing = replace(standing, figures=study.plan.figures)  # the checker's
    return _told(study_of(request, standing, planned, seed=study.plan.run.seed))


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
        "space_use": trial.plan.figures.get("space_use"),
        "floor_peak_mm2": trial.floor_peak_mm2,
        "in_front": in_front,
    }


def _price(price: OrderPrice) -> dict[str, Any]:
    return {
        "waiting": len(price.waits),
        "wait_s": price.wait_s,
        "longest_s": price.longest_s,
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
