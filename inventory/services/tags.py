"""Putting another tag on a piece whose tag was lost or cannot be read."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from inventory.errors import TagMissingError, TagTakenError, UuidReusedError, WriteRefusedError
from inventory.lists import words
from inventory.models import Branch, Item, ItemTag


@transaction.atomic
def tag_replace(
    *,
    item: Item,
    number: str,
    event_uuid: UUID,
    now: datetime,
    lot_number: str | None = None,
    label_color: str | None = None,
) -> ItemTag:
    """Give a piece a new tag; the old one stays findable. Lot and colour stay unless told.

    The same event may arrive twice and changes nothing the second time.

    Raises
    ------
    UuidReusedError : the event has replaced another tag, or by another one.
    TagMissingError : the piece has no tag.
    TagTakenError : another piece of the branch carries the new tag.
    WriteRefusedError : a number, lot or colour that no tag can have.
    """
    branch = Branch.objects.select_for_update().get(pk=item.shipment.branch_id)
    earlier = ItemTag.objects.filter(replaced_by_event=event_uuid).first()
    old = earlier or ItemTag.objects.filter(item=item, replaced_at__isnull=True).first()
    if old is None:
        raise TagMissingError(item.pk)
    wanted = _label(old, number, lot_number, label_color)
    if earlier:
        return _what_followed(earlier, item, wanted, event_uuid)
    lot, color, digits = wanted
    same = {"lot_number": lot, "label_color": color, "number": digits}
    if ItemTag.objects.filter(branch=branch, replaced_at__isnull=True, **same).exists():
        raise TagTakenError(" ".join(wanted))
    old.replaced_at = now
    old.replaced_by_event = event_uuid
    old.save(update_fields=["replaced_at", "replaced_by_event"])
    return ItemTag.objects.create(branch=branch, item=item, assigned_at=now, **same)


def _label(
    old: ItemTag, number: str, lot_number: str | None, label_color: str | None
) -> tuple[str, str, str]:
    field = "number"
    try:
        digits = words.tag_number(number)
        field = "lot_number"
        lot = words.text(lot_number or old.lot_number, 40)
        field = "label_color"
        color = words.color(label_color or old.label_color)
    except ValueError as error:
        raise WriteRefusedError(field, str(error)) from error
    return lot, color, digits


def _what_followed(
    old: ItemTag, item: Item, wanted: tuple[str, str, str], event_uuid: UUID
) -> ItemTag:
    """Give the tag that the event put on, if it is what is asked for now."""
    for tag in ItemTag.objects.filter(item=item).exclude(pk=old.pk):
        said = tag.lot_number, tag.label_color, tag.number
        if old.item_id == item.pk and tag.assigned_at == old.replaced_at and said == wanted:
            return tag
    raise UuidReusedError(event_uuid)
