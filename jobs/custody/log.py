"""The custody log of one piece: who had it when, from its vault to the road."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from jobs.folding.kinds import EventKind


@dataclass(frozen=True, slots=True)
class CustodyEvent:
    """A recorded event: when by the clock of whoever saw it, when recorded, by whom."""

    uuid: str
    kind: EventKind
    payload: Mapping[str, Any]
    happened_at: datetime
    recorded_at: datetime
    actor: str
    conflict: str = ""


WHOLE_LOAD: Final = frozenset(
    {EventKind.DOORS_CLOSED, EventKind.DEPARTED, EventKind.HANDED_OVER, EventKind.ARRIVED}
)
"""What happens to the truck happens to every piece in it."""


def custody_log(
    events: Iterable[CustodyEvent], *, tag: str, vault: str | None
) -> tuple[CustodyEvent, ...]:
    """The events of a piece, of its vault while it was in there, and of the truck once it was on
    it, in the order in which they happened. What was undone, and the undoing, are left out."""
    ordered = sorted(events, key=lambda event: (event.happened_at, event.recorded_at))
    undone = {event.payload["event"] for event in ordered if event.kind is EventKind.UNDONE}
    found: list[CustodyEvent] = []
    in_vault, in_truck = vault is not None, False
    for event in ordered:
        if event.uuid in undone:
            continue
        if event.payload.get("tag") == tag:
            found.append(event)
            in_vault = in_vault and event.kind is not EventKind.PIECE_UNPACKED
            in_truck = _is_in_truck(event.kind, before=in_truck)
            continue
        at_vault = in_vault and event.payload.get("vault") == vault
        if at_vault or (in_truck and event.kind in WHOLE_LOAD):
            found.append(event)
    return tuple(found)


def _is_in_truck(kind: EventKind, *, before: bool) -> bool:
    if kind is EventKind.PIECE_LOADED:
        return True
    return before and kind not in (EventKind.PIECE_TAKEN_OUT, EventKind.PIECE_RETURNED)
