"""The pieces of a shipment that may not ride, or only with care."""

from dataclasses import dataclass

from inventory.may_not_ride import RidingCaution, riding_cautions
from inventory.models import Item, Shipment


@dataclass(frozen=True, slots=True)
class CautionedPiece:
    """A piece and one reason to look at it; one with several reasons comes several times."""

    tag: str | None
    name: str
    caution: RidingCaution


def shipment_cautions(*, shipment: Shipment) -> tuple[CautionedPiece, ...]:
    """All cautions of a shipment's pieces, by their name and that of their kind."""
    items = Item.objects.filter(shipment=shipment).select_related("kind").prefetch_related("tags")
    return tuple(
        CautionedPiece(item.tag, item.name, caution)
        for item in items.order_by("id")
        for caution in item_cautions(item=item)
    )


def item_cautions(*, item: Item) -> tuple[RidingCaution, ...]:
    """The cautions of one piece, each group once."""
    names = (item.name, item.kind.name if item.kind and item.kind_confirmed else "")
    found = {
        caution.group: caution for name in reversed(names) for caution in riding_cautions(name)
    }
    return tuple(found.values())
