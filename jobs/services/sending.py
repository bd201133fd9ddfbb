"""Telling the workers, by name, once what they shall look at is committed."""

from datetime import date
from uuid import UUID

from celery import current_app
from django.db import transaction

from jobs.models import Replan

ASSIGN = "jobs.background.tasks_assign"
SCHEDULE = "jobs.background.schedule_make"
BALANCE = "jobs.background.balance_make"
DAY_CREWS = "jobs.background.day_crews_make"
QUEUE = "dispatch"
REPLAN = "jobs.background.replan_execute"
REPLAN_QUEUE = "replan"
"""A queue of its own, so that it never waits behind the first plan of another load."""
SECOND_LOOK_QUEUE = "plan"
"""Nobody waits for a second look, and no other job's replan waits behind one."""


def assigning_send(job_id: UUID) -> None:
    """Ask for an assignment when the transaction commits.

    A broker that is down must not undo what was written: the sweep asks again.
    """
    transaction.on_commit(lambda: assigning_send_now(job_id), robust=True)


def assigning_send_now(job_id: UUID) -> None:
    current_app.send_task(ASSIGN, kwargs={"job_id": str(job_id)}, queue=QUEUE)


def replan_send(replan: Replan) -> None:
    """Ask for a replan when the transaction commits; the sweep asks again if the broker is down."""
    transaction.on_commit(lambda: replan_send_now(replan), robust=True)


def replan_send_now(replan: Replan) -> None:
    queue = SECOND_LOOK_QUEUE if replan.second_look else REPLAN_QUEUE
    current_app.send_task(REPLAN, kwargs={"replan_id": str(replan.id)}, queue=queue)


def schedule_send(job_id: UUID) -> None:
    """Ask for a schedule when the transaction commits; the sweep asks again, as for the others."""
    transaction.on_commit(lambda: schedule_send_now(job_id), robust=True)


def schedule_send_now(job_id: UUID) -> None:
    current_app.send_task(SCHEDULE, kwargs={"job_id": str(job_id)}, queue=QUEUE)


def balance_send(branch_id: int, day: date) -> None:
    """Ask for a look at a day's balance when the transaction commits."""
    transaction.on_commit(lambda: balance_send_now(branch_id, day), robust=True)


def balance_send_now(branch_id: int, day: date) -> None:
    told = {"branch_id": branch_id, "day": day.isoformat()}
    current_app.send_task(BALANCE, kwargs=told, queue=QUEUE)


def day_crews_send(branch_id: int, day: date) -> None:
    """Ask for the crews of a day when the transaction commits."""
    transaction.on_commit(lambda: day_crews_send_now(branch_id, day), robust=True)


def day_crews_send_now(branch_id: int, day: date) -> None:
    told = {"branch_id": branch_id, "day": day.isoformat()}
    current_app.send_task(DAY_CREWS, kwargs=told, queue=QUEUE)
