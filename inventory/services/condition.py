"""Writing down the condition of pieces, and keeping photographs."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils.translation import gettext as _

from inventory.errors import PhotoRefusedError, PhotoTooLargeError, UuidReusedError
from inventory.models import Branch, ConditionNote, Item, Photo, User
from inventory.models.condition import Moment
from inventory.pictures import picture_made_anew


@dataclass(frozen=True, slots=True)
class PhotoOf:
    """What a photograph shows; `subject` is the key of the job on which it was taken."""

    branch: Branch
    moment: Moment
    item: Item | None = None
    tag: str = ""
    subject: str = ""
    event: UUID | None = None


@transaction.atomic
def condition_note(
    *, note_id: UUID, item: Item, moment: Moment, note: str, by: User | None, now: datetime
) -> ConditionNote:
    """Write down what somebody saw. The same UUID is one note.

    Raises
    ------
    UuidReusedError : the UUID stands for a note with other content.
    """
    stored, new = ConditionNote.objects.get_or_create(
        id=note_id,
        defaults={
            "item": item,
            "moment": moment,
            "note": note.strip(),
            "noted_at": now,
            "noted_by": by,
        },
    )
    if not new and (stored.item_id, stored.moment, stored.note) != (item.pk, moment, note.strip()):
        raise UuidReusedError(note_id)
    return stored


def conditions_received(notes: Iterable[tuple[Item, str]], *, now: datetime) -> None:
    """Write down the condition that a list tells of its pieces."""
    ConditionNote.objects.bulk_create(
        ConditionNote(item=item, moment=Moment.RECEIVED, note=note, noted_at=now)
        for item, note in notes
    )


def photo_store(
    *,
    photo_id: UUID,
    of: PhotoOf,
    sent: bytes,
    taken_at: datetime,
    by: User | None,
    now: datetime,
) -> Photo:
    """Keep a photograph, made anew without its metadata. The same UUID is one photograph.

    The file is written before its row: a row never names a file that is not there.

    Raises
    ------
    PhotoTooLargeError, PhotoRefusedError : what was sent is too large, or no photograph.
    UuidReusedError : the UUID stands for another photograph.
    """
    if len(sent) > settings.PHOTO_LIMIT_BYTES:
        raise PhotoTooLargeError(settings.PHOTO_LIMIT_BYTES)
    if of.item is None and not of.subject:
        raise PhotoRefusedError(_("of no piece and no job"))
    digest = hashlib.sha256(sent).hexdigest()
    former = Photo.objects.filter(pk=photo_id).first()
    if former is not None:
        return _same(former, of, digest)
    picture = picture_made_anew(sent)
    name = f"photos/{of.branch.code}/{photo_id}.jpg"
    default_storage.delete(name)  # of a try that ended before its row was written
    default_storage.save(name, ContentFile(picture.content))
    stored, new = Photo.objects.get_or_create(
        id=photo_id,
        defaults={
            "branch": of.branch,
            "item": of.item,
            "tag": of.tag,
            "subject": of.subject,
            "event": of.event,
            "moment": of.moment,
            "name": name,
            "sent_sha256": digest,
            "width_px": picture.width_px,
            "height_px": picture.height_px,
            "size_bytes": len(picture.content),
            "taken_at": taken_at,
            "stored_at": now,
            "stored_by": by,
        },
    )
    return stored if new else _same(stored, of, digest)


def _same(former: Photo, of: PhotoOf, digest: str) -> Photo:
    if (former.sent_sha256, former.branch_id) != (digest, of.branch.pk):
        raise UuidReusedError(former.pk)
    return former
