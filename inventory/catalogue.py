"""The catalogue of household kinds and cartons that the product comes with.

The values are our own typical ones, from common practice, for pieces as they stand in storage:
beds taken apart, mirrors and televisions in cartons. `data/kinds.csv` holds one kind a line:

- `length_mm`, `width_mm`, `height_mm` as it stands; `weight_kg`; `bears_kg`, the most that may
  rest on it;
- `postures` and `traits` (any of wrap, fragile, carton, soft), words with a space between;
- `level` base, middle, top or empty; `opening`: x, y, z, length, width, height in mm of the free
  room below a table or chair, from the corner of the piece;
- `pads` and `storage_pads`: how many pads wrap it in the truck and in storage;
- `words`: other names that people write for it, with a semicolon between.
"""

import csv
from decimal import Decimal
from pathlib import Path

KINDS_FILE = Path(__file__).parent / "data" / "kinds.csv"

#: The kind of a piece whose name says nothing: nothing may rest on it, it is not turned.
UNLISTED = "unlisted-piece"


def catalogue_kinds() -> tuple[dict[str, object], ...]:
    """Read the catalogue; each kind as the fields of `ItemKind`."""
    with KINDS_FILE.open(encoding="utf-8", newline="") as lines:
        return tuple(_kind(line) for line in csv.DictReader(lines))


def _kind(line: dict[str, str]) -> dict[str, object]:
    traits = line["traits"].split()
    return {
        "code": line["code"],
        "name": line["name"],
        "words": [word for word in line["words"].split(";") if word],
        "length_mm": int(line["length_mm"]),
        "width_mm": int(line["width_mm"]),
        "height_mm": int(line["height_mm"]),
        "weight_g": int(Decimal(line["weight_kg"]) * 1000),
        "bears_g": int(Decimal(line["bears_kg"]) * 1000),
        "postures": line["postures"].split(),
        "wrap": "wrap" in traits,
        "fragile": "fragile" in traits,
        "carton": "carton" in traits,
        "soft": "soft" in traits,
        "level": line["level"] or None,
        "openings": _openings(line["opening"]),
        "pads": int(line["pads"]) if line["pads"] else None,
        "storage_pads": int(line["storage_pads"]) if line["storage_pads"] else None,
        "handling": line["handling"] or None,
    }


def _openings(text: str) -> list[dict[str, list[int]]]:
    numbers = [int(word) for word in text.split()]
    return [{"at_mm": numbers[:3], "size_mm": numbers[3:]}] if numbers else []
