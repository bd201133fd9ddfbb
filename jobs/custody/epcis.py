"""A custody log as an EPCIS 2.0 document (JSON-LD).

Source: GS1 EPCIS 2.0 and CBV 2.0: ObjectEvent and AggregationEvent, the steps picking, unpacking,
staging_outbound, loading, departing …, the dispositions damaged and mismatch_instance. Events that
say nothing of custody (a size corrected, say) are left out. Tests hold the documents against GS1's
own JSON schema.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final

from jobs.custody.log import CustodyEvent
from jobs.folding.kinds import EventKind

CONTEXT: Final = "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"
Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Names:
    """The URIs of what the log speaks of; we have no GS1 company prefix."""

    piece: str
    vault: str
    truck: str
    place: str


_STEPS: Final[Mapping[EventKind, tuple[str, str]]] = {
    EventKind.VAULT_PULLED: ("picking", ""),
    EventKind.VAULT_MOVED: ("storing", ""),
    EventKind.VAULT_STORED: ("storing", ""),
    EventKind.VAULT_STOWED: ("storing", ""),
    EventKind.PIECE_FETCHED: ("picking", ""),
    EventKind.PIECE_WRAPPED: ("staging_outbound", ""),
    EventKind.PIECE_CARRIED: ("staging_outbound", ""),
    EventKind.PIECE_RETURNED: ("storing", ""),
    EventKind.PIECE_MISSING: ("inspecting", "mismatch_instance"),
    EventKind.EXCEPTION_NOTED: ("inspecting", "damaged"),
    EventKind.DEPARTED: ("departing", "in_transit"),
    EventKind.ARRIVED: ("arriving", ""),
}
_JOINS: Final[Mapping[EventKind, tuple[str, str, str]]] = {
    EventKind.PIECE_UNPACKED: ("DELETE", "unpacking", "vault"),
    EventKind.PIECE_LOADED: ("ADD", "loading", "truck"),
    EventKind.PIECE_TAKEN_OUT: ("DELETE", "unloading", "truck"),
}
"""Events in which the piece joins or leaves a vault or a truck."""


def epcis_document(log: Iterable[CustodyEvent], *, names: Names, created_at: datetime) -> Json:
    """The log as a document; its events keep our own UUIDs."""
    return {
        "@context": [CONTEXT],
        "type": "EPCISDocument",
        "schemaVersion": "2.0",
        "creationDate": _time(created_at),
        "epcisBody": {"eventList": [one for event in log if (one := _event(event, names))]},
    }


def _event(event: CustodyEvent, names: Names) -> Json | None:
    common: Json = {
        "eventID": f"urn:uuid:{event.uuid}",
        "eventTime": _time(event.happened_at),
        "eventTimeZoneOffset": "+00:00",
        "recordTime": _time(event.recorded_at),
        "readPoint": {"id": names.place},
    }
    if event.kind in _JOINS:
        action, step, parent = _JOINS[event.kind]
        return {
            "type": "AggregationEvent",
            **common,
            "action": action,
            "bizStep": step,
            "parentID": names.vault if parent == "vault" else names.truck,
            "childEPCs": [names.piece],
        }
    if event.kind not in _STEPS:
        return None
    step, disposition = _STEPS[event.kind]
    subject = names.vault if "vault" in event.payload else names.piece
    told = {"disposition": disposition} if disposition else {}
    return {
        "type": "ObjectEvent",
        **common,
        "action": "OBSERVE",
        "bizStep": step,
        **told,
        "epcList": [subject],
    }


def _time(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
