"""The condition of pieces, and their photographs."""

from collections.abc import Mapping
from typing import IO

from django.core.files.storage import default_storage
from django.db.models import QuerySet

from inventory.models import Branch, ConditionNote, Item, Photo, Shipment


def item_conditions(*, item: Item) -> QuerySet[ConditionNote]:
    return ConditionNote.objects.filter(item=item).select_related("noted_by")


def conditions_by_tag(*, shipment: Shipment, moment: str) -> Mapping[str, tuple[str, ...]]:
    """The notes of a shipment's pieces at one moment, by tag number, in their order."""
    found: dict[str, tuple[str, ...]] = {}
    notes = ConditionNote.objects.filter(item__shipment=shipment, moment=moment)
    for note in notes.select_related("item").prefetch_related("item__tags"):
        if note.item.tag is not None:
            found[note.item.tag] = (*found.get(note.item.tag, ()), note.note)
    return found


def item_photos(*, item: Item) -> QuerySet[Photo]:
    """The photographs of a piece, whichever of its tags their sender named."""
    return Photo.objects.filter(item=item)


def subject_photos(*, subject: str) -> QuerySet[Photo]:
    """The photographs that were taken on a job."""
    return Photo.objects.filter(subject=subject)


def photo_visible(*, branches: QuerySet[Branch], photo_id: object) -> Photo | None:
    """A photograph of those branches."""
    return Photo.objects.filter(branch__in=branches, pk=photo_id).first()


def photo_open(*, photo: Photo) -> IO[bytes]:
    """The picture itself, a JPEG. Raises FileNotFoundError where the storage lost it."""
    return default_storage.open(photo.name)
