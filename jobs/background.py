"""What the dispatch workers run: ids in, one service call out."""

from uuid import UUID

from celery import shared_task
from django.utils import timezone

from jobs.services import tasks_assign, work_resend


@shared_task(name="jobs.background.tasks_assign")
def background_tasks_assign(*, job_id: str) -> None:
    tasks_assign(job_id=UUID(job_id), now=timezone.now())


@shared_task(name="jobs.background.work_resend")
def background_work_resend() -> None:
    """For the beat, every few seconds: no task waits because a message was lost."""
    work_resend(now=timezone.now())
