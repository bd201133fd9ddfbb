"""An inventory list as CSV: UTF-8, commas, one header, one line for each piece.

Columns, in any order; only `tag` and `name` must be there:

- `tag`: the item number, 017 (a spreadsheet's 17 is the same)
- `name`: what the piece is called on the list
- `kind`: its kind in the catalogue, by code, name or synonym; else it is guessed from `name`
- `lot`, `color`: of the tag, where they differ from the shipment's
- `length_`, `width_`, `height_` with `in`, `cm` or `mm`: its size as it stands, bare
- `weight_`, `bears_` with `lb` or `kg`: its weight, and the most that may rest on it
- `vault`: the code of the vault it is in; empty for a loose piece
- `position`: its place in the vault, 1 at the door. Without positions the lines are taken in the
  order in which the vault was filled: the last stands at the door
- `lane`, `vault_depth`, `vault_level`: where that vault stands; one line for each vault is
  enough. Depth 1 is nearest the aisle, level 1 on the floor
- `lane_depth`, `lane_levels`: how deep and high that lane is, if the branch lacks it
- `seal`: the vault's seal number
- `place`: where a loose piece stands
- `stop`: 1 is delivered first
- `set`, `handling`: words
- `level`: base, middle or top
- `wrap`, `fragile`, `last_on`: yes or no
- `condition`: how it was when it was received, in official marks ("SC 4-8, D 2") or words

A line with a vault and its place, and neither tag nor name, tells of an empty vault or another
customer's. A size is given whole or not at all. Empty cells are filled in from the kind.
"""

import csv
import io
from collections import Counter

from django.utils.translation import gettext as _

from inventory.errors import ImportFault
from inventory.lists.checks import list_faults, no_piece
from inventory.lists.csv_row import Row
from inventory.lists.parsed import (
    MAX_PIECES,
    ParsedLane,
    ParsedList,
    ParsedPiece,
    ParsedVault,
    refuse_if,
)
from inventory.lists.vaults import gather_lanes, gather_vaults, positions_from_order
from inventory.lists.words import G_PER_UNIT, MM_PER_UNIT, shown

LENGTHS = ("length", "width", "height")
WEIGHTS = ("weight", "bears")
REQUIRED = ("tag", "name")
PLAIN = (
    *("kind", "lot", "color", "vault", "position", "lane", "vault_depth", "vault_level"),
    *("lane_depth", "lane_levels", "seal", "place", "stop", "set", "handling", "level"),
    *("wrap", "fragile", "last_on", "condition"),
)
KNOWN = frozenset(
    {*REQUIRED, *PLAIN}
    | {f"{name}_{unit}" for name in LENGTHS for unit in MM_PER_UNIT}
    | {f"{name}_{unit}" for name in WEIGHTS for unit in G_PER_UNIT}
)


def parse_csv(data: bytes) -> ParsedList:
    """Read a list.

    Raises
    ------
    ImportRefusedError : with every fault of the file, by row (the header is row 1) and column.
    """
    faults: list[ImportFault] = []
    rows = _rows(data, faults)
    refuse_if(faults)
    pieces: list[ParsedPiece] = []
    vaults: list[ParsedVault] = []
    lanes: list[ParsedLane] = []
    for row in rows:
        piece, vault, lane = _read(row)
        faults += row.faults
        pieces += [piece] if piece else []
        vaults += [vault] if vault else []
        lanes += [lane] if lane else []
    parsed = ParsedList(
        lanes=gather_lanes(lanes, faults),
        vaults=gather_vaults(vaults, faults),
        pieces=positions_from_order(pieces, faults),
    )
    faults += list_faults(parsed)
    if not parsed.pieces and not faults:
        faults.append(no_piece())
    refuse_if(sorted(faults, key=lambda fault: fault.row or 0))
    return parsed


def _rows(data: bytes, faults: list[ImportFault]) -> list[Row]:
    """Take the file apart; whatever makes that senseless is a fault, and gives no rows."""
    try:
        lines = list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), strict=True))
    except UnicodeDecodeError as error:
        row = data[: error.start].count(b"\n") + 1
        faults.append(ImportFault(row, "", _("not UTF-8; save the list as CSV in UTF-8")))
        return []
    except csv.Error as error:
        faults.append(ImportFault(None, "", _("not a CSV file: %(error)s") % {"error": error}))
        return []
    if not lines:
        faults.append(ImportFault(None, "", _("the file is empty")))
        return []
    header = [name.strip().lower() for name in lines[0]]
    faults += _header_faults(header)
    filled = [(n, cells) for n, cells in enumerate(lines[1:], 2) if any(c.strip() for c in cells)]
    if len(filled) > MAX_PIECES:
        faults.append(
            ImportFault(None, "", _("more than %(MAX_PIECES)s lines") % {"MAX_PIECES": MAX_PIECES})
        )
    if faults:
        return []
    return [Row(number, header, cells) for number, cells in filled]


def _header_faults(header: list[str]) -> list[ImportFault]:
    faults = [
        ImportFault(1, name, _("this column is missing")) for name in REQUIRED if name not in header
    ]
    for name, times in Counter(header).items():
        if name not in KNOWN:
            faults.append(
                ImportFault(1, shown(name), _("no such column; the documentation lists all"))
            )
        elif times > 1:
            faults.append(ImportFault(1, name, _("this column is there twice")))
    for measure in (*LENGTHS, *WEIGHTS):
        units = [name for name in header if name in KNOWN and name.startswith(f"{measure}_")]
        if len(set(units)) > 1:
            faults.append(
                ImportFault(1, units[1], _("the same measure as %(units)s") % {"units": units[0]})
            )
    return faults


def _read(row: Row) -> tuple[ParsedPiece | None, ParsedVault | None, ParsedLane | None]:
    lane = _lane(row)
    only_a_vault = not row.has("tag") and not row.has("name") and row.has("vault")
    vault = _vault(row, ours=not only_a_vault)
    return None if only_a_vault else _piece(row), vault, lane


def _lane(row: Row) -> ParsedLane | None:
    name = row.text("lane", 20)
    size = row.whole("lane_depth"), row.whole("lane_levels")
    if name is None:
        return None
    if row.has("lane_depth") != row.has("lane_levels"):
        row.fault("lane_depth", _("give lane_depth and lane_levels together"))
    depth, levels = size
    return ParsedLane(row.where("lane"), name, (depth, levels) if depth and levels else None)


def _vault(row: Row, ours: bool) -> ParsedVault | None:
    code = row.text("vault", 20)
    lane = row.text("lane", 20)
    depth, level = row.whole("vault_depth"), row.whole("vault_level")
    seal = row.text("seal", 40) or ""
    if code is None:
        for column in ("lane", "vault_depth", "vault_level", "seal"):
            if row.has(column):
                row.fault(column, _("a place without a vault"))
        return None
    told = [row.has(column) for column in ("lane", "vault_depth", "vault_level")]
    if any(told) and not all(told):
        row.fault("lane", _("give lane, vault_depth and vault_level together"))
    place = (lane, depth, level) if lane and depth and level else None
    if not ours and not any(told):
        row.fault("vault", _("a line without tag and name must tell where its vault stands"))
    return ParsedVault(row.where("vault"), code, place, ours, seal)


def _piece(row: Row) -> ParsedPiece | None:
    number, name = row.tag("tag"), row.text("name", 100)
    for column in REQUIRED:
        if not row.has(column):
            row.fault(column, _("must not be empty"))
    size = tuple(row.length(measure) for measure in LENGTHS)
    given = [row.has_measure(measure) for measure in LENGTHS]
    if any(given) and not all(given):
        row.fault("length", _("give length, width and height, or none of them"))
    if row.has("vault") and row.has("place"):
        row.fault("place", _("the piece is in a vault and at a loose place"))
    if row.has("position") and not row.has("vault"):
        row.fault("position", _("a position without a vault"))
    piece = ParsedPiece(
        where=row.where("tag"),
        lot_number=row.text("lot", 40),
        label_color=row.color("color"),
        number=number or "",
        name=name or "",
        kind_name=row.text("kind", 100),
        size_mm=(size[0], size[1], size[2]) if size[0] and size[1] and size[2] else None,
        weight_g=row.weight("weight"),
        vault=row.text("vault", 20),
        vault_position=row.whole("position"),
        loose_place=row.text("place", 40),
        told=_told(row),
        condition=row.text("condition", 300) or "",
    )
    return piece if number and name else None


def _told(row: Row) -> dict[str, object]:
    told = {
        "bears_g": row.weight("bears", least_g=0),
        "stop": row.whole("stop"),
        "set_name": row.text("set", 60),
        "handling": row.text("handling", 100),
        "level": row.choice("level", ("base", "middle", "top")),
        "wrap": row.flag("wrap"),
        "fragile": row.flag("fragile"),
        "last_on": row.flag("last_on"),
    }
    return {field: value for field, value in told.items() if value is not None}
