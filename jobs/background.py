"""What the dispatch and replan workers run: ids in, one service call out."""

import os
import socket
from uuid import UUID

from celery import shared_task
from django.utils import timezone

from jobs.services import replan_execute, replans_resend, tasks_assign, work_resend


@shared_task(name="jobs.background.tasks_assign")
def background_tasks_assign(*, job_id: str) -> None:
    tasks_assign(job_id=UUID(job_id), now=timezone.now())


@shared_task(name="jobs.background.work_resend")
def background_work_resend() -> None:
    """For the beat, every few seconds: no task waits because a message was lost."""
    work_resend(now=timezone.now())
    replans_resend(now=timezone.now())


@shared_task(name="jobs.background.replan_execute")
def background_replan_execute(*, replan_id: str) -> None:
    replan_execute(
        replan_id=UUID(replan_id),
        worker=f"{socket.gethostname()}/{os.getpid()}",
        now=timezone.now(),
        workers=os.cpu_count() or 1,
    )
