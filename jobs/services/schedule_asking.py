"""Asking for a new schedule of a floor, and for a new look at a day: a row, a message on commit."""

from datetime import date, datetime, timedelta
from typing import Final

from django.db.models import Q

from jobs.models import DayBalance, FloorPlan, Job
from jobs.services.making import wish_add
from jobs.services.sending import balance_send, schedule_send

STALE_AFTER: Final = timedelta(minutes=2)
"""By then people are earlier or later than a schedule had it."""


def schedule_ask(*, job: Job, now: datetime) -> None:
    """Ask for a new schedule; wishes that come before a worker takes one up are one.

    Whatever changed may let something be handed out: the sweep looks at the job again too.
    """
    mine = FloorPlan.objects.filter(job=job)
    if not wish_add(mine, now=now, looks_at=None):
        FloorPlan.objects.bulk_create([FloorPlan(job=job)], ignore_conflicts=True)
        wish_add(mine, now=now, looks_at=None)
    schedule_send(job.id)


def schedule_follow(*, job: Job, now: datetime) -> None:
    """Work goes on: let the sweep look at the job again, and renew a schedule that is old.

    A schedule lasts a while, since it is handed out in its order, whatever the time.
    """
    fresh = Q(made_at__gt=now - STALE_AFTER) | Q(asked_at__gt=now - STALE_AFTER)
    if not FloorPlan.objects.filter(fresh, job=job).update(looks_at=None):
        schedule_ask(job=job, now=now)


def balance_ask(*, branch_id: int, day: date, now: datetime) -> None:
    """Ask for a new look at how a day's people are spread over its jobs."""
    that_day = DayBalance.objects.filter(branch=branch_id, day=day)
    if not wish_add(that_day, now=now):
        DayBalance.objects.bulk_create(
            [DayBalance(branch_id=branch_id, day=day)], ignore_conflicts=True
        )
        wish_add(that_day, now=now)
    balance_send(branch_id, day)
