"""An inventory list in the form of a load request (`load-request/1` of the planning contract).

Only what is in storage is read: `lanes`, `vaults`, `other_vaults` and `items`. The truck, the
dock and the trip belong to a load, and `leaves` to a release.
"""

import json
from decimal import Decimal
from typing import NoReturn

from django.utils.translation import gettext as _

from inventory.errors import ImportFault
from inventory.lists import words
from inventory.lists.checks import list_faults, no_piece
from inventory.lists.parsed import (
    MAX_PIECES,
    ParsedLane,
    ParsedList,
    ParsedPiece,
    ParsedVault,
    Where,
    refuse_if,
)
from inventory.lists.values import Reader

FORM = "load-request/1"
POSTURES = ("standing", "on_side", "on_end")
LEVELS = ("base", "middle", "top")


def parse_request(data: bytes) -> ParsedList:
    """Read a load request.

    Raises
    ------
    ImportRefusedError : with every fault of the document, named by its JSON pointer.
    """
    faults: list[ImportFault] = []
    document = _document(data, faults)
    refuse_if(faults)
    top = Reader(document, "", faults)
    if top.text("form", 40) != FORM:
        top.fault("form", _("want %(FORM)s") % {"FORM": FORM})
    if top.value("progress") is not None:
        top.fault("progress", _("loading has begun; this is no list of what is in storage"))
    lanes = _lanes(top)
    inside: dict[str, tuple[str, int]] = {}
    vaults = [_vault(vault, inside) for vault in top.objects("vaults")]
    vaults += [_vault(vault, None) for vault in top.objects("other_vaults", required=False)]
    entries = top.objects("items")
    if len(entries) > MAX_PIECES:
        top.fault("items", _("more than %(MAX_PIECES)s pieces") % {"MAX_PIECES": MAX_PIECES})
        entries = []
    pieces = [_piece(entry, inside) for entry in entries]
    _unknown_tags(top, inside, pieces)
    parsed = ParsedList(
        lanes=lanes,
        vaults=tuple(vault for vault in vaults if vault),
        pieces=tuple(piece for piece in pieces if piece),
    )
    refuse_if(faults)
    refuse_if(list_faults(parsed))
    refuse_if([] if parsed.pieces else [no_piece()])
    return parsed


def _document(data: bytes, faults: list[ImportFault]) -> object:
    try:
        return json.loads(data.decode("utf-8-sig"), parse_float=Decimal, parse_constant=_no_number)
    except UnicodeDecodeError:
        faults.append(ImportFault(None, "", _("not UTF-8")))
    except RecursionError:
        faults.append(ImportFault(None, "", _("nested too deeply")))
    except ValueError as error:
        faults.append(ImportFault(None, "", _("not JSON: %(error)s") % {"error": error}))
    return None


def _no_number(word: str) -> NoReturn:
    raise ValueError(_("%(word)s is no number") % {"word": word})


def _lanes(top: Reader) -> tuple[ParsedLane, ...]:
    lanes = top.nested("lanes")
    if lanes is None:
        return ()
    usual = lanes.whole("depth"), lanes.whole("levels")
    names = lanes.texts("names", 20)
    sizes: dict[str, tuple[int, int]] = {}
    others = lanes.nested("of", required=False)
    for name in others.names() if others else ():
        size = others.wholes(name, 2) if others else None
        if name not in names:
            lanes.fault("of", _("lane %(value)s is not in names") % {"value": words.shown(name)})
        if size:
            sizes[name] = (size[0], size[1])
    if len(set(names)) < len(names):
        lanes.fault("names", _("a lane is named twice"))
    depth, levels = usual
    if not depth or not levels:
        return ()
    where = Where(None, lanes.pointer("names"))
    return tuple(ParsedLane(where, name, sizes.get(name, (depth, levels))) for name in names)


def _vault(vault: Reader, inside: dict[str, tuple[str, int]] | None) -> ParsedVault | None:
    """Read a vault; one of this shipment (`inside` given) also tells where its pieces stand."""
    code, lane = vault.text("code", 20), vault.text("lane", 20)
    depth, level = vault.whole("depth"), vault.whole("level")
    if inside is not None:
        for position, tag in enumerate(vault.tags("items"), 1):
            if tag in inside:
                at = inside[tag][0]
                told = (
                    _("piece %(tag)s is twice in vault %(code)s")
                    if at == code
                    else _("piece %(tag)s is in vault %(at)s and in vault %(code)s")
                )
                vault.fault("items", told % {"tag": tag, "at": at, "code": code})
            elif code:
                inside[tag] = (code, position)
    if not (code and lane and depth and level):
        return None
    return ParsedVault(
        Where(None, vault.pointer("code")), code, (lane, depth, level), inside is not None
    )


def _piece(entry: Reader, inside: dict[str, tuple[str, int]]) -> ParsedPiece | None:
    number = entry.tag("tag")
    name = entry.text("name", 100)
    size = entry.lengths("size_mm", 3)
    weight_g = entry.weight("weight_kg")
    told = _told(entry)
    if not (number and name and size and weight_g):
        return None
    vault, position = inside.get(number, (None, None))
    return ParsedPiece(
        where=Where(None, entry.pointer("tag")),
        lot_number=None,
        label_color=None,
        number=number,
        name=name,
        kind_name=None,
        size_mm=(size[0], size[1], size[2]),
        weight_g=weight_g,
        vault=vault,
        vault_position=position,
        loose_place=None,
        told=told,
    )


def _told(entry: Reader) -> dict[str, object]:
    return {
        "postures": entry.choices("postures", POSTURES),
        "wrap": entry.flag("wrap"),
        "bears_g": entry.weight("bears_kg", least_g=0),
        "level": entry.choice("level", LEVELS) if entry.value("level") is not None else None,
        "fragile": entry.flag("fragile"),
        "carton": entry.flag("carton"),
        "soft": entry.flag("soft"),
        "openings": [_opening(opening) for opening in entry.objects("openings")],
        "stop": entry.whole("stop"),
        "set_name": entry.text("set", 60) if entry.value("set") is not None else None,
        "last_on": entry.flag("last_on"),
        "size_from": entry.choice("size_from", ("measured", "kind"), default="measured"),
        "handling": entry.text("handling", 100) if entry.value("handling") is not None else None,
        "pads": entry.whole("pads", least=0) if entry.value("pads") is not None else None,
        "storage_pads": (
            entry.whole("storage_pads", least=0)
            if entry.value("storage_pads") is not None
            else None
        ),
    }


def _opening(opening: Reader) -> dict[str, object]:
    return {
        "at_mm": opening.wholes("at_mm", 3, least=0),
        "size_mm": opening.lengths("size_mm", 3),
    }


def _unknown_tags(
    top: Reader, inside: dict[str, tuple[str, int]], pieces: list[ParsedPiece | None]
) -> None:
    if None in pieces:
        return
    known = {piece.number for piece in pieces if piece}
    for tag, (vault, _place) in inside.items():
        if tag not in known:
            top.fault(
                "vaults",
                _("vault %(vault)s holds piece %(tag)s, which is not in items")
                % {"vault": vault, "tag": tag},
            )
