"""Faults of a list as a whole: what no single line shows."""

from collections.abc import Iterator

from inventory.errors import ImportFault
from inventory.lists.parsed import ParsedList, ParsedPiece

NO_PIECE = ImportFault(None, "", "the list holds no piece")


def list_faults(parsed: ParsedList) -> Iterator[ImportFault]:
    """Find tags, vault positions and places that are taken twice."""
    yield from _tags_twice(parsed)
    yield from _positions_twice(parsed)
    yield from _places_twice(parsed)


def _tags_twice(parsed: ParsedList) -> Iterator[ImportFault]:
    seen: dict[tuple[str | None, str | None, str], ParsedPiece] = {}
    for piece in parsed.pieces:
        before = seen.setdefault((piece.lot_number, piece.label_color, piece.number), piece)
        if before is piece:
            continue
        if piece.vault and before.vault and piece.vault != before.vault:
            told = f"piece {piece.number} is in two vaults, {before.vault} and {piece.vault}"
        else:
            told = f"tag {piece.number} is there twice"
        yield piece.where.fault(told)


def _positions_twice(parsed: ParsedList) -> Iterator[ImportFault]:
    seen = set()
    for piece in parsed.pieces:
        at = piece.vault, piece.vault_position
        if piece.vault_position is not None and at in seen:
            yield piece.where.fault(
                f"position {piece.vault_position} of vault {piece.vault} is taken twice"
            )
        seen.add(at)


def _places_twice(parsed: ParsedList) -> Iterator[ImportFault]:
    standing: dict[tuple[str, int, int], str] = {}
    for vault in parsed.vaults:
        if vault.place is None:
            continue
        other = standing.setdefault(vault.place, vault.code)
        if other != vault.code:
            yield vault.where.fault(f"vault {vault.code} stands where vault {other} stands")
