"""What the dispatch and replan workers run: ids in, one service call out."""

import os
import socket
from datetime import date
from typing import Any, Final
from uuid import UUID

from celery import shared_task
from celery.signals import worker_init
from django.utils import timezone

from jobs.services import (
    balance_make,
    balances_resend,
    day_crews_make,
    day_crews_resend,
    days_begin,
    replan_execute,
    replans_resend,
    schedule_make,
    schedules_resend,
    tasks_assign,
    work_resend,
)

_QUICK: Final = {"soft_time_limit": 120, "time_limit": 150}
"""Seconds for what takes a moment: whatever hangs longer makes room, and the sweep asks again."""


@worker_init.connect
def scheduler_warm(sender: Any, **_: Any) -> None:
    """Load the scheduler before the pool forks, where floors are scheduled."""
    if "dispatch" in sender.app.amqp.queues.consume_from:
        from jobs.scheduling.floor.solving import warm

        warm()


@shared_task(name="jobs.background.tasks_assign", **_QUICK)
def background_tasks_assign(*, job_id: str) -> None:
    tasks_assign(job_id=UUID(job_id), now=timezone.now())


@shared_task(name="jobs.background.work_resend", **_QUICK)
def background_work_resend() -> None:
    """For the beat, every few seconds: no task waits because a message was lost."""
    work_resend(now=timezone.now())
    replans_resend(now=timezone.now())
    schedules_resend(now=timezone.now())
    balances_resend(now=timezone.now())
    days_begin(now=timezone.now())
    day_crews_resend(now=timezone.now())


@shared_task(name="jobs.background.schedule_make", **_QUICK)
def background_schedule_make(*, job_id: str) -> None:
    schedule_make(job_id=UUID(job_id), worker=_worker(), now=timezone.now())


@shared_task(name="jobs.background.balance_make", **_QUICK)
def background_balance_make(*, branch_id: int, day: str) -> None:
    balance_make(
        branch_id=branch_id, day=date.fromisoformat(day), worker=_worker(), now=timezone.now()
    )


@shared_task(name="jobs.background.day_crews_make", **_QUICK)
def background_day_crews_make(*, branch_id: int, day: str) -> None:
    day_crews_make(
        branch_id=branch_id, day=date.fromisoformat(day), worker=_worker(), now=timezone.now()
    )


@shared_task(name="jobs.background.replan_execute")
def background_replan_execute(*, replan_id: str) -> None:
    replan_execute(
        replan_id=UUID(replan_id),
        worker=_worker(),
        now=timezone.now(),
        workers=os.cpu_count() or 1,
    )


def _worker() -> str:
    return f"{socket.gethostname()}/{os.getpid()}"
