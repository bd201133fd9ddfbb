"""Faults of a list as a whole: what no single line shows."""

from collections.abc import Iterator

from django.utils.translation import gettext as _

from inventory.errors import ImportFault
from inventory.lists.parsed import ParsedList, ParsedPiece


def no_piece() -> ImportFault:
    return ImportFault(None, "", _("the list holds no piece"))


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
            told = _("piece %(number)s is in two vaults, %(vault)s and %(vault_2)s") % {
                "number": piece.number,
                "vault": before.vault,
                "vault_2": piece.vault,
            }
        else:
            told = _("tag %(number)s is there twice") % {"number": piece.number}
        yield piece.where.fault(told)


def _positions_twice(parsed: ParsedList) -> Iterator[ImportFault]:
    seen = set()
    for piece in parsed.pieces:
        at = piece.vault, piece.vault_position
        if piece.vault_position is not None and at in seen:
            yield piece.where.fault(
                _("position %(vault_position)s of vault %(vault)s is taken twice")
                % {"vault_position": piece.vault_position, "vault": piece.vault}
            )
        seen.add(at)


def _places_twice(parsed: ParsedList) -> Iterator[ImportFault]:
    standing: dict[tuple[str, int, int], str] = {}
    for vault in parsed.vaults:
        if vault.place is None:
            continue
        other = standing.setdefault(vault.place, vault.code)
        if other != vault.code:
            yield vault.where.fault(
                _("vault %(code)s stands where vault %(other)s stands")
                % {"code": vault.code, "other": other}
            )
