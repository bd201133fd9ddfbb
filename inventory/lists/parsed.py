"""What an inventory list says, whichever form it came in."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from inventory.errors import ImportFault, ImportRefusedError

#: More faults than anybody would read are counted, not listed.
FAULTS_LISTED = 1000
MAX_PIECES = 5000


@dataclass(frozen=True, slots=True)
class Where:
    """Where in the file something stands: a row of a table, or a JSON pointer."""

    row: int | None
    column: str

    def fault(self, message: str) -> ImportFault:
        return ImportFault(self.row, self.column, message)


@dataclass(frozen=True, slots=True)
class ParsedLane:
    """A lane of the warehouse; `size` is depth and levels, None where the list does not say."""

    where: Where
    name: str
    size: tuple[int, int] | None


@dataclass(frozen=True, slots=True)
class ParsedVault:
    """A vault and its place: lane, depth, level. `ours`: it holds pieces of this shipment."""

    where: Where
    code: str
    place: tuple[str, int, int] | None
    ours: bool
    seal_number: str = ""


@dataclass(frozen=True, slots=True)
class ParsedPiece:
    """One piece. `told` holds the fields of `Item` that the list states (weights in g);
    `condition` is that when it was received."""

    where: Where
    lot_number: str | None
    label_color: str | None
    number: str
    name: str
    kind_name: str | None
    size_mm: tuple[int, int, int] | None
    weight_g: int | None
    vault: str | None
    vault_position: int | None
    loose_place: str | None
    told: Mapping[str, object] = field(default_factory=dict)
    condition: str = ""


@dataclass(frozen=True, slots=True)
class ParsedList:
    """A whole list without a fault in itself; whether it fits the branch is not known yet."""

    lanes: tuple[ParsedLane, ...]
    vaults: tuple[ParsedVault, ...]
    pieces: tuple[ParsedPiece, ...]


def refuse_if(faults: Iterable[ImportFault]) -> None:
    """Raise `ImportRefusedError` if there is any fault; a very long list is cut, and says so."""
    found = tuple(faults)
    if len(found) > FAULTS_LISTED:
        more = ImportFault(
            None, "", _("and %(value)s more faults") % {"value": len(found) - FAULTS_LISTED}
        )
        found = (*found[:FAULTS_LISTED], more)
    if found:
        raise ImportRefusedError(found)
