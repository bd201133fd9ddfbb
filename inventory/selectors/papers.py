"""Papers that were signed, and whether they are still what was signed."""

import hashlib
from datetime import datetime, timedelta

from django.db.models import Q, QuerySet

from inventory.models import Paper, SignedPaper

RESEND_AFTER = timedelta(seconds=60)


def signed_papers(*, kind: str, subject: str) -> QuerySet[SignedPaper]:
    """Give the versions of a signed paper, the newest first, without their contents."""
    return (
        SignedPaper.objects.filter(kind=kind, subject=subject)
        .defer("content")
        .select_related("recorded_by")
        .order_by("-version")
    )


def paper_is_as_signed(*, paper: SignedPaper) -> bool:
    """Tell whether the stored PDF still has the hash that was taken when it was signed."""
    return hashlib.sha256(bytes(paper.content)).hexdigest() == paper.sha256


def papers_lost(*, now: datetime) -> QuerySet[Paper]:
    """Give papers that wait though their message must be lost, or was never sent."""
    late = now - RESEND_AFTER
    unsent = Q(sent_at__isnull=True, asked_at__lt=late)
    return Paper.objects.filter(Q(sent_at__lt=late) | unsent, status=Paper.Status.QUEUED)
