"""Papers as rows: asked for once, made once, signed for good."""

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from inventory.errors import (
    PaperCorrectedMeanwhileError,
    SignatureRefusedError,
    UuidReusedError,
)
from inventory.models import Branch, Paper, SignedPaper, User

POINTS_MAX = 6000
POINT_MAX = 10_000
NAME_MAX = 100

Stroke = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Signature:
    """Who signed as what; strokes are points from the upper left corner, in any unit."""

    part: str
    name: str
    strokes: tuple[Stroke, ...]

    def document(self) -> dict[str, Any]:
        strokes = [[list(point) for point in stroke] for stroke in self.strokes]
        return {"part": self.part, "name": self.name, "strokes": strokes}


@dataclass(frozen=True, slots=True)
class PaperSubject:
    """What a signed paper is about, and what it says."""

    branch: Branch
    kind: str
    subject: str
    document: dict[str, Any]


def paper_ask(
    *, branch: Branch, kind: str, subject: str, sheet: str, units: str, language: str, now: datetime
) -> tuple[Paper, bool]:
    """Give the paper of that form, and whether it was asked for just now."""
    return Paper.objects.get_or_create(
        kind=kind,
        subject=subject,
        sheet=sheet,
        units=units,
        language=language,
        defaults={"branch": branch, "asked_at": now},
    )


def paper_done(*, paper: Paper, content: bytes, now: datetime) -> Paper:
    """Put the PDF into its row; what is there already stays."""
    Paper.objects.filter(pk=paper.pk, status=Paper.Status.QUEUED).update(
        status=Paper.Status.DONE, content=content, made_at=now
    )
    paper.refresh_from_db()
    return paper


def signature_read(*, part: str, name: str, strokes: object) -> Signature:
    """Read a signature as a phone sends it: strokes as lists of points of two whole numbers.

    Raises
    ------
    SignatureRefusedError : no name, nothing drawn, or drawn out of all measure.
    """
    name = name.strip()
    if not name or len(name) > NAME_MAX or not name.isprintable():
        raise SignatureRefusedError(part, "name")
    if not isinstance(strokes, list) or not strokes:
        raise SignatureRefusedError(part, "strokes")
    read = tuple(_stroke(part, stroke) for stroke in strokes)
    if sum(len(stroke) for stroke in read) > POINTS_MAX:
        raise SignatureRefusedError(part, "strokes")
    return Signature(part, name, read)


@transaction.atomic
def paper_sign(
    *,
    uuid: UUID,
    about: PaperSubject,
    signatures: Sequence[Signature],
    render: Callable[[int], bytes],
    by: User,
    now: datetime,
    former: int = 0,
    reason: str = "",
) -> SignedPaper:
    """Freeze a paper with its signatures. The same UUID gives the same paper.

    `render` sets the PDF of a version. `former` is the version that is corrected, 0 for the first;
    a correction needs a reason.

    Raises
    ------
    UuidReusedError : the UUID stands for a paper about something else.
    PaperCorrectedMeanwhileError : the former version is not the newest any more.
    SignatureRefusedError : nobody signed, or a correction without a reason.
    """
    # One signing at a time for each branch, so that versions follow one another.
    Branch.objects.select_for_update().get(pk=about.branch.pk)
    before = SignedPaper.objects.filter(pk=uuid).first()
    if before:
        if (before.kind, before.subject) != (about.kind, about.subject):
            raise UuidReusedError(uuid)
        return before
    if not signatures:
        raise SignatureRefusedError("", "strokes")
    if bool(former) != bool(reason.strip()):
        raise SignatureRefusedError("", "reason")
    newest = SignedPaper.objects.filter(kind=about.kind, subject=about.subject).first()
    if (newest.version if newest else 0) != former:
        raise PaperCorrectedMeanwhileError(former)
    content = render(former + 1)
    return SignedPaper.objects.create(
        id=uuid,
        branch=about.branch,
        kind=about.kind,
        subject=about.subject,
        version=former + 1,
        reason=reason.strip(),
        document=about.document,
        signatures=[signature.document() for signature in signatures],
        content=content,
        sha256=hashlib.sha256(content).hexdigest(),
        signed_at=now,
        recorded_by=by,
    )


def _stroke(part: str, said: object) -> Stroke:
    if not isinstance(said, list) or not said:
        raise SignatureRefusedError(part, "strokes")
    points: list[tuple[int, int]] = []
    for point in said:
        if not isinstance(point, list) or len(point) != 2:
            raise SignatureRefusedError(part, "strokes")
        if not all(type(n) is int and 0 <= n <= POINT_MAX for n in point):
            raise SignatureRefusedError(part, "strokes")
        points.append((point[0], point[1]))
    return tuple(points)
