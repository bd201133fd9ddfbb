"""A person's word on what kind a piece is, where the import could only guess."""

from django.db import transaction

from inventory.models import Item, ItemKind, MeasureSource
from inventory.services.import_pieces import TYPICAL


@transaction.atomic
def item_kind_confirm(*, item: Item, kind: ItemKind) -> Item:
    """Confirm or correct the kind of a piece.

    With another kind, whatever the piece had from the guessed one it now has from the new one;
    what was measured, or told otherwise by the list, stays.
    """
    item = Item.objects.select_for_update().select_related(None).get(pk=item.pk)
    guessed = item.kind
    if guessed is not None and guessed != kind:
        _take_from(item, guessed, kind)
    item.kind = kind
    item.kind_confirmed = True
    item.save()
    return item


def _take_from(item: Item, guessed: ItemKind, kind: ItemKind) -> None:
    for field in TYPICAL:
        if field != "openings" and getattr(item, field) == getattr(guessed, field):
            setattr(item, field, getattr(kind, field))
    if item.weight_from == MeasureSource.KIND:
        item.weight_g = kind.weight_g
    if item.size_from == MeasureSource.KIND:
        item.length_mm, item.width_mm, item.height_mm = kind.size_mm
        item.openings = kind.openings
