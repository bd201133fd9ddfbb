"""The pieces of a shipment as a long list shows them: each a line, none a model."""

from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import OuterRef, Subquery
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from inventory.models import Item, ItemTag, MeasureSource, Shipment
from inventory.selectors.cautions import CautionedPiece, cautions_of

_ASKED = (
    "pk",
    "tag_number",
    "name",
    "kind__code",
    "kind__name",
    "kind_confirmed",
    "vault__code",
    "vault_position",
    "loose_place__name",
    "left_at",
    "left_vault",
    "stop",
    "length_mm",
    "width_mm",
    "height_mm",
    "size_from",
    "weight_g",
    "weight_from",
    "carton",
)


@dataclass(frozen=True, slots=True)
class PieceLine:
    """A piece and, in the reader's words, where it is. `carton_g` is the weight of a carton that
    was weighed; `stop` is empty for the first."""

    pk: int
    tag: str
    name: str
    kind_code: str
    kind: str
    kind_confirmed: bool
    where: str
    stop: str
    size_mm: tuple[int, int, int]
    size_estimated: bool
    weight_g: int
    carton_g: int | None


def shipment_pieces(*, shipment: Shipment) -> tuple[PieceLine, ...]:
    """All pieces of a shipment, in one query."""
    tag = ItemTag.objects.filter(item=OuterRef("pk"), replaced_at__isnull=True)
    items = Item.objects.filter(shipment=shipment).order_by("pk")
    asked = items.annotate(tag_number=Subquery(tag.values("number")[:1])).values(*_ASKED)
    zone = ZoneInfo(shipment.branch.time_zone)
    return tuple(_line(item, zone) for item in asked)


def pieces_cautions(pieces: tuple[PieceLine, ...]) -> tuple[CautionedPiece, ...]:
    """The same as `shipment_cautions`, of lines that are at hand."""
    return tuple(
        CautionedPiece(piece.tag or None, piece.name, caution)
        for piece in pieces
        for caution in cautions_of(
            name=piece.name,
            kind=piece.kind if piece.kind_confirmed else "",
            carton_g=piece.carton_g,
        )
    )


def _line(item: dict[str, Any], zone: ZoneInfo) -> PieceLine:
    weighed = item["carton"] and item["weight_from"] == MeasureSource.MEASURED
    return PieceLine(
        pk=item["pk"],
        tag=item["tag_number"] or "",
        name=item["name"],
        kind_code=item["kind__code"] or "",
        kind=item["kind__name"] or "",
        kind_confirmed=item["kind_confirmed"],
        where=_where(item, zone),
        stop=_("stop %(stop)s") % {"stop": item["stop"]} if item["stop"] > 1 else "",
        size_mm=(item["length_mm"], item["width_mm"], item["height_mm"]),
        size_estimated=item["size_from"] == MeasureSource.KIND,
        weight_g=item["weight_g"],
        carton_g=item["weight_g"] if weighed else None,
    )


def _where(item: dict[str, Any], zone: ZoneInfo) -> str:
    if item["vault__code"]:
        told = {"vault": item["vault__code"], "place": item["vault_position"]}
        return _("vault %(vault)s, %(place)s from the door") % told
    if item["left_at"]:
        when = date_format(localtime(item["left_at"], zone), "SHORT_DATE_FORMAT")
        left = _("left %(when)s") % {"when": when}
        out_of = _("out of vault %(vault)s") % {"vault": item["left_vault"]}
        return f"{left} {out_of}" if item["left_vault"] else left
    return str(item["loose_place__name"] or _("loose"))
