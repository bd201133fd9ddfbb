"""Finding a piece by what stands on its tag, also on one that was replaced."""

from django.db.models import F

from inventory.models import Branch, Item, ItemTag


def item_by_tag(
    *,
    branch: Branch,
    number: str,
    lot_number: str | None = None,
    label_color: str | None = None,
) -> list[Item]:
    """Give the pieces that carry or carried a tag, those that carry it now first.

    001 exists in every lot, so a number alone may find many pieces; lot and colour narrow it.
    """
    tags = ItemTag.objects.filter(branch=branch, number=number)
    if lot_number is not None:
        tags = tags.filter(lot_number=lot_number)
    if label_color is not None:
        tags = tags.filter(label_color=label_color)
    newest_first = tags.order_by(F("replaced_at").desc(nulls_first=True), "lot_number", "id")
    found = [tag.item for tag in newest_first.select_related("item__shipment", "item__vault")]
    return list(dict.fromkeys(found))
