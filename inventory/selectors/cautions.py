"""The pieces of a shipment that may not ride, or only with care."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.carton_strength import USUAL_LB, certificate_needed, is_over_usual
from inventory.may_not_ride import RidingCaution, Verdict, riding_cautions
from inventory.models import Item, MeasureSource, Shipment


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
    """The cautions of one piece, each group once: by its names, and a carton's by its weight."""
    weighed = item.carton and item.weight_from == MeasureSource.MEASURED
    return cautions_of(
        name=item.name,
        kind=item.kind.name if item.kind and item.kind_confirmed else "",
        carton_g=item.weight_g if weighed else None,
    )


def cautions_of(*, name: str, kind: str, carton_g: int | None) -> tuple[RidingCaution, ...]:
    """The same of a piece by what it and its kind are called, and a weighed carton's weight."""
    found = {caution.group: caution for said in (kind, name) for caution in riding_cautions(said)}
    if carton_g is not None and is_over_usual(carton_g):
        return (*found.values(), _heavy_carton(carton_g))
    return tuple(found.values())


def _heavy_carton(weight_g: int) -> RidingCaution:
    needed = certificate_needed(weight_g)
    told = (
        _("Its certificate must say %(pounds)d lb or more; else pack it anew.")
        if needed
        else _("It needs more than a single wall; else pack it anew.")
    )
    return RidingCaution(
        group=_("carton too heavy"),
        verdict=Verdict.PREPARE,
        words=_("over %(pounds)d lb") % {"pounds": USUAL_LB},
        what_to_do=told % {"pounds": needed.gross_lb} if needed else told,
        source="Rule 41 / Item 222",
    )
