"""The condition of pieces, and their photographs."""

from collections.abc import Mapping
from typing import IO

from django.core.files.storage import default_storage
from django.db.models import QuerySet

from inventory.models import Branch, ConditionNote, Item, Photo


def item_conditions(*, item: Item) -> QuerySet[ConditionNote]:
    return ConditionNote.objects.filter(item=item).select_related("noted_by")


def conditions_by_label(*, labels: Mapping[int, str], moment: str) -> Mapping[str, tuple[str, ...]]:
    """The notes of pieces at one moment, in their order, by the names that they have on a load;
    `labels` are those names by the pieces' keys."""
    found: dict[str, tuple[str, ...]] = {}
    for note in ConditionNote.objects.filter(item__in=list(labels), moment=moment):
        label = labels[note.item_id]
        found[label] = (*found.get(label, ()), note.note)
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
