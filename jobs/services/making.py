"""Wishing for what a worker makes, claiming the making, and keeping only what one still holds."""

from datetime import datetime, timedelta
from typing import Any, Final, TypeVar

from django.db import transaction
from django.db.models import Case, F, Q, QuerySet, When
from django.db.models.functions import Coalesce

from jobs.models.claims import MadeByWorker

LEASE: Final = timedelta(seconds=30)
RESEND_AFTER: Final = timedelta(seconds=5)

Row = TypeVar("Row", bound=MadeByWorker)


def wish_add(rows: QuerySet[Row], *, now: datetime, **columns: Any) -> bool:
    """Count one more wish, and note since when one waits; False if there is no such row."""
    waiting_since = Case(When(wanted=F("made"), then=now), default=Coalesce("asked_at", now))
    return bool(rows.update(wanted=F("wanted") + 1, asked_at=waiting_since, **columns))


@transaction.atomic
def claim(rows: QuerySet[Row], *, worker: str, now: datetime) -> Row | None:
    """Take the one row if something is wanted of it and nobody is at it; None otherwise.

    The row's `wanted` is the count of wishes that the making answers.
    """
    free = Q(lease_until__isnull=True) | Q(lease_until__lt=now)
    taken = rows.filter(free, wanted__gt=F("made")).update(
        claimed_by=worker, attempt=F("attempt") + 1, lease_until=now + LEASE
    )
    return rows.get() if taken else None


def keep(rows: QuerySet[Row], row: Row, **columns: Any) -> bool:
    """Write to a claimed row if it is still ours, and say whether it was."""
    return bool(rows.filter(attempt=row.attempt, lease_until__isnull=False).update(**columns))


def finish(rows: QuerySet[Row], row: Row) -> bool:
    """Give a claimed row back as made; say whether something was wanted of it meanwhile."""
    keep(rows, row, made=row.wanted, lease_until=None)
    return rows.filter(wanted__gt=F("made")).exists()


def waiting(rows: QuerySet[Row], *, now: datetime) -> QuerySet[Row]:
    """The rows of which something is wanted though nobody is at it: the message must be lost."""
    unclaimed = Q(lease_until__isnull=True, asked_at__lt=now - RESEND_AFTER)
    return rows.filter(unclaimed | Q(lease_until__lt=now), wanted__gt=F("made"))
