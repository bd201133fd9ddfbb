"""Telling the workers, by name, once what they shall look at is committed."""

from uuid import UUID

from celery import current_app
from django.db import transaction

ASSIGN = "jobs.background.tasks_assign"
QUEUE = "dispatch"


def assigning_send(job_id: UUID) -> None:
    """Ask for an assignment when the transaction commits.

    A broker that is down must not undo what was written: the sweep asks again.
    """
    transaction.on_commit(lambda: assigning_send_now(job_id), robust=True)


def assigning_send_now(job_id: UUID) -> None:
    current_app.send_task(ASSIGN, kwargs={"job_id": str(job_id)}, queue=QUEUE)
