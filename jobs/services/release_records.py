"""Signing a job's records: the PDF with its signatures is frozen."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from inventory.models import Release, SignedPaper, User
from inventory.services import PaperSubject, Signature, paper_sign
from jobs.models import Job
from jobs.selectors.release_records import RELEASE, record_document, record_subject
from loading.papers import PaperForm
from loading.papers.release_record import release_record_pdf


def record_sign(
    *,
    job: Job,
    signatures: Sequence[Signature],
    uuid: UUID,
    by: User,
    now: datetime,
    former: int = 0,
    reason: str = "",
    kind: str = RELEASE,
    release: Release | None = None,
) -> SignedPaper:
    """Freeze the record as it is now. Raises what `inventory.services.paper_sign` raises."""
    document = record_document(job=job, kind=kind, release=release)
    drawn = [signature.document() for signature in signatures]

    def render(version: int) -> bytes:
        return release_record_pdf(
            document,
            PaperForm(sheet=job.branch.paper, units=by.units),
            version=version,
            reason=reason,
            signatures=drawn,
            signed_at=now.astimezone(ZoneInfo(job.branch.time_zone)),
        )

    return paper_sign(
        uuid=uuid,
        about=PaperSubject(job.branch, kind, record_subject(job=job, release=release), document),
        signatures=signatures,
        render=render,
        by=by,
        now=now,
        former=former,
        reason=reason,
    )
