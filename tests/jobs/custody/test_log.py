from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from jobs.custody.epcis import _JOINS, _STEPS, Names, epcis_document
from jobs.custody.log import CustodyEvent, custody_log
from jobs.folding.kinds import FIELDS
from jobs.folding.kinds import EventKind as Kind
from tests.jobs.custody.schema import schema_faults

START = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)
NAMES = Names(
    piece="https://north.invalid/pieces/SHP-1/001",
    vault="https://north.invalid/vaults/V1",
    truck="https://north.invalid/trucks/Truck%207",
    place="https://north.invalid/branches/north",
)


def event(minute: int, kind: Kind, **payload: Any) -> CustodyEvent:
    at = START + timedelta(minutes=minute)
    return CustodyEvent(f"u{minute}", kind, payload, at, at + timedelta(seconds=5), "walt")


A_DAY = (
    event(1, Kind.VAULT_PULLED, vault="V1"),
    event(2, Kind.VAULT_PULLED, vault="V2"),
    event(3, Kind.PIECE_UNPACKED, tag="002", storage_pads_off=0, moving_pads_on=0),
    event(4, Kind.PIECE_UNPACKED, tag="001", storage_pads_off=2, moving_pads_on=2),
    event(5, Kind.EXCEPTION_NOTED, tag="001", note="SC 4"),
    event(6, Kind.PIECE_CARRIED, tag="001"),
    event(7, Kind.PIECE_MISSING, tag="001"),
    event(8, Kind.VAULT_CLEARED, vault="V1"),
    event(9, Kind.PIECE_LOADED, tag="001"),
    event(10, Kind.UNDONE, event="u7"),
    event(11, Kind.DEPARTED),
)


def minutes(log: tuple[CustodyEvent, ...]) -> list[int]:
    return [int(entry.uuid[1:]) for entry in log]


def test_the_way_of_a_piece_from_its_vault_to_the_road() -> None:
    assert minutes(custody_log(A_DAY, tag="001", vault="V1")) == [1, 4, 5, 6, 9, 11]


def test_the_order_is_that_of_what_happened_not_of_what_arrived() -> None:
    assert minutes(custody_log(A_DAY[::-1], tag="001", vault="V1")) == [1, 4, 5, 6, 9, 11]


def test_the_truck_takes_along_only_what_is_in_it() -> None:
    out = event(10, Kind.PIECE_TAKEN_OUT, tag="001")
    log = custody_log([*A_DAY[:9], out, A_DAY[-1]], tag="001", vault="V1")
    assert minutes(log)[-1] == 10


def test_a_loose_piece_has_no_vault_to_follow() -> None:
    assert minutes(custody_log(A_DAY, tag="001", vault=None)) == [4, 5, 6, 9, 11]


def document() -> dict[str, Any]:
    log = custody_log(A_DAY, tag="001", vault="V1")
    return epcis_document(log, names=NAMES, created_at=START)


def test_the_log_as_epcis_2_0() -> None:
    """Steps and dispositions of CBV 2.0; the form by GS1's schema."""
    told = document()
    assert schema_faults(told) == []
    events = told["epcisBody"]["eventList"]
    assert [(one["type"], one["action"], one["bizStep"]) for one in events] == [
        ("ObjectEvent", "OBSERVE", "picking"),
        ("AggregationEvent", "DELETE", "unpacking"),
        ("ObjectEvent", "OBSERVE", "inspecting"),
        ("ObjectEvent", "OBSERVE", "staging_outbound"),
        ("AggregationEvent", "ADD", "loading"),
        ("ObjectEvent", "OBSERVE", "departing"),
    ]
    assert events[0]["epcList"] == [NAMES.vault]
    assert (events[1]["parentID"], events[1]["childEPCs"]) == (NAMES.vault, [NAMES.piece])
    assert events[2]["disposition"] == "damaged"
    assert events[0]["eventTime"] == "2026-03-04T12:01:00.000Z"
    assert all(one["eventTimeZoneOffset"] == "+00:00" for one in events)


@pytest.mark.parametrize("kind", [*_STEPS, *_JOINS])
def test_every_event_of_custody_passes_the_schema(kind: Kind) -> None:
    said = event(1, kind, **{name: "V1" if name == "vault" else "001" for name in FIELDS[kind]})
    told = epcis_document([said], names=NAMES, created_at=START)
    assert schema_faults(told) == []
    assert len(told["epcisBody"]["eventList"]) == 1


@pytest.mark.parametrize(
    "spoil",
    [
        lambda d: d.update(creationDate=7),
        lambda d: d.update(epcisBody={"eventList": {}}),
        lambda d: _first(d).pop("eventTime"),
        lambda d: _first(d).update(eventTimeZoneOffset="Z"),
        lambda d: _first(d).update(action="MOVE"),
        lambda d: _first(d).update(bizStep="pick up"),
        lambda d: _first(d).update(disposition="spoilt"),
        lambda d: _first(d).update(epcList=["001"]),
        lambda d: _first(d).update(eventTime="12:00"),
        lambda d: _first(d).update(weight=7),
    ],
)
def test_the_schema_finds_what_is_wrong(spoil: Any) -> None:
    told = document()
    spoil(told)
    assert schema_faults(told)


def _first(told: dict[str, Any]) -> dict[str, Any]:
    first: dict[str, Any] = told["epcisBody"]["eventList"][0]
    return first
