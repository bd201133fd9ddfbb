"""The pieces of an imported list: their kinds, typical values where the list tells none, tags."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from inventory.errors import ImportFault
from inventory.lists.kind_names import KindNames, Match
from inventory.lists.parsed import ParsedPiece
from inventory.models import (
    Branch,
    Item,
    ItemKind,
    ItemTag,
    LoosePlace,
    MeasureSource,
    Shipment,
    Vault,
)
from inventory.services.condition import conditions_received

#: What a piece takes from its kind unless the list tells it.
TYPICAL = (
    *("postures", "wrap", "bears_g", "level", "fragile", "carton", "soft", "openings"),
    *("handling", "pads", "storage_pads"),
)


@dataclass(frozen=True, slots=True)
class KnownPiece:
    """A piece of the list with the kind that was found for it."""

    told: ParsedPiece
    kind: ItemKind
    match: Match

    def guess(self) -> dict[str, object]:
        """Tell a person what was guessed."""
        return {
            "row": self.told.where.row,
            "tag": self.told.number,
            "name": self.told.name,
            "kind": self.kind.code,
            "score": self.match.score,
        }


def pieces_with_kinds(
    pieces: Iterable[ParsedPiece], names: KindNames
) -> tuple[list[KnownPiece], list[ImportFault]]:
    """Find the kind of every piece; a kind that the list names but nobody knows is a fault."""
    kinds = {kind.code: kind for kind in ItemKind.objects.all()}
    known, faults = [], []
    for piece in pieces:
        match = names.match(piece.kind_name or piece.name)
        if piece.kind_name in kinds:
            match = Match(piece.kind_name or "", 1.0, True)
        elif piece.kind_name and not match.sure:
            faults.append(
                ImportFault(
                    piece.where.row,
                    "kind",
                    _("no kind is called %(kind_name)s") % {"kind_name": piece.kind_name},
                )
            )
        known.append(KnownPiece(piece, kinds[match.code], match))
    return known, faults


def tag_faults(
    branch: Branch, pieces: Iterable[ParsedPiece], lot_number: str, label_color: str
) -> Iterator[ImportFault]:
    """Find tags of the list that other pieces of the branch carry now."""
    taken = set(
        ItemTag.objects.filter(branch=branch, replaced_at__isnull=True).values_list(
            "lot_number", "label_color", "number"
        )
    )
    for piece in pieces:
        tag = piece.lot_number or lot_number, piece.label_color or label_color, piece.number
        if tag in taken:
            yield piece.where.fault(
                _("tag %(tag)s is on another piece already") % {"tag": " ".join(tag)}
            )


def pieces_write(
    shipment: Shipment,
    pieces: Iterable[KnownPiece],
    vaults: Mapping[str, Vault],
    now: datetime,
) -> list[Item]:
    """Store the pieces, their tags, and their condition when received."""
    known = list(pieces)
    places = _loose_places(shipment.branch, (piece.told.loose_place for piece in known))
    items = Item.objects.bulk_create(_item(shipment, piece, vaults, places) for piece in known)
    ItemTag.objects.bulk_create(
        ItemTag(
            branch=shipment.branch,
            item=item,
            lot_number=piece.told.lot_number or shipment.lot_number,
            label_color=piece.told.label_color or shipment.label_color,
            number=piece.told.number,
            assigned_at=now,
        )
        for item, piece in zip(items, known, strict=True)
    )
    conditions_received(
        [
            (item, piece.told.condition)
            for item, piece in zip(items, known, strict=True)
            if piece.told.condition
        ],
        now=now,
    )
    return items


def _loose_places(branch: Branch, names: Iterable[str | None]) -> dict[str, LoosePlace]:
    return {
        name: LoosePlace.objects.get_or_create(branch=branch, name=name)[0]
        for name in sorted({name for name in names if name})
    }


def _item(
    shipment: Shipment,
    piece: KnownPiece,
    vaults: Mapping[str, Vault],
    places: Mapping[str, LoosePlace],
) -> Item:
    told, kind = piece.told, piece.kind
    size_mm = told.size_mm or kind.size_mm
    source = MeasureSource.MEASURED if told.size_mm else MeasureSource.KIND
    values: dict[str, object] = {
        field: getattr(kind, field) for field in TYPICAL if field not in told.told
    }
    if told.size_mm:
        values["openings"] = []  # the kind's are drawn for the kind's own size
    values |= {"size_from": source, **told.told}
    return Item(
        shipment=shipment,
        kind=kind,
        kind_confirmed=piece.match.sure,
        name=told.name,
        length_mm=size_mm[0],
        width_mm=size_mm[1],
        height_mm=size_mm[2],
        weight_g=told.weight_g or kind.weight_g,
        weight_from=MeasureSource.MEASURED if told.weight_g else MeasureSource.KIND,
        vault=vaults[told.vault] if told.vault else None,
        vault_position=told.vault_position,
        loose_place=places[told.loose_place] if told.loose_place else None,
        **values,
    )
