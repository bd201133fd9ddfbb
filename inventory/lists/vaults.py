"""What the lines of a list say together of a lane or a vault, and the order inside a vault."""

from collections import defaultdict
from dataclasses import replace

from django.utils.translation import gettext as _

from inventory.errors import ImportFault
from inventory.lists.parsed import ParsedLane, ParsedPiece, ParsedVault


def gather_lanes(lanes: list[ParsedLane], faults: list[ImportFault]) -> tuple[ParsedLane, ...]:
    """Give each lane once, with its size if any line tells it."""
    found: dict[str, ParsedLane] = {}
    for lane in lanes:
        before = found.get(lane.name)
        if before is None or before.size is None:
            found[lane.name] = lane
        elif lane.size not in (None, before.size):
            depth, levels = before.size
            faults.append(
                lane.where.fault(
                    _("lane %(name)s was %(depth)s deep, %(levels)s high")
                    % {"name": lane.name, "depth": depth, "levels": levels}
                )
            )
    return tuple(found.values())


def gather_vaults(vaults: list[ParsedVault], faults: list[ImportFault]) -> tuple[ParsedVault, ...]:
    """Give each vault once, with its place and seal if any line tells them."""
    found: dict[str, ParsedVault] = {}
    for vault in vaults:
        before = found.setdefault(vault.code, vault)
        if vault.place and before.place and vault.place != before.place:
            faults.append(
                vault.where.fault(
                    _("vault %(code)s is in two places: row %(row)s tells another")
                    % {"code": vault.code, "row": before.where.row}
                )
            )
        if vault.seal_number and before.seal_number not in ("", vault.seal_number):
            faults.append(
                vault.where.fault(_("vault %(code)s has two seals") % {"code": vault.code})
            )
        found[vault.code] = replace(
            before,
            place=before.place or vault.place,
            ours=before.ours or vault.ours,
            seal_number=before.seal_number or vault.seal_number,
        )
    return tuple(found.values())


def positions_from_order(
    pieces: list[ParsedPiece], faults: list[ImportFault]
) -> tuple[ParsedPiece, ...]:
    """Fill in the places of a vault whose lines tell none: the last line stands at the door."""
    inside: defaultdict[str, list[ParsedPiece]] = defaultdict(list)
    for piece in pieces:
        if piece.vault is not None:
            inside[piece.vault].append(piece)
    place: dict[int, int] = {}
    for vault, held in inside.items():
        told = [piece for piece in held if piece.vault_position is not None]
        if not told:
            place |= {id(piece): n for n, piece in enumerate(reversed(held), 1)}
        elif len(told) < len(held):
            faults += [
                ImportFault(
                    piece.where.row,
                    "position",
                    _("vault %(vault)s has positions on some lines only") % {"vault": vault},
                )
                for piece in held
                if piece.vault_position is None
            ]
    return tuple(
        replace(piece, vault_position=place.get(id(piece), piece.vault_position))
        for piece in pieces
    )
