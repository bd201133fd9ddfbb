"""Reading one event of a batch: either all of it is sound or nothing of it is taken."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from jobs.folding.kinds import FIELDS, VERSION, EventKind, Shape

COUNT_MAX = 999
NUMBER_MAX = 2**31 - 1
KEY_MAX = 80
NOTE_MAX = 300


@dataclass(frozen=True, slots=True)
class ReportedEvent:
    """An event as a device reports it. `payload` holds exactly the fields of its kind."""

    uuid: UUID
    kind: EventKind
    version: int
    happened_at: datetime
    payload: Mapping[str, str | int]


@dataclass(frozen=True, slots=True)
class Malformed:
    """What cannot be an event, and why. The UUID is None where it is what is wrong."""

    uuid: UUID | None
    detail: str


class _Fault(Exception):
    """What is wrong with a field, as a sentence that names it."""


def read_event(raw: object) -> ReportedEvent | Malformed:
    """Read `{"uuid", "kind", "version", "happened_at", "payload"}`; version 1 may be left out."""
    if not isinstance(raw, Mapping):
        return Malformed(None, "an event must be an object")
    try:
        uuid = _uuid(raw.get("uuid"), "uuid")
    except _Fault as fault:
        return Malformed(None, str(fault))
    try:
        return _sound_event(uuid, raw)
    except _Fault as fault:
        return Malformed(uuid, str(fault))


def _sound_event(uuid: UUID, raw: Mapping[str, object]) -> ReportedEvent:
    name = raw.get("kind")
    if not isinstance(name, str) or name not in list(EventKind):
        raise _Fault(f"kind: no event is called {name!r:.60}")
    version = raw.get("version", VERSION)
    if type(version) is not int or version != VERSION:
        raise _Fault(f"version: want {VERSION}")
    kind = EventKind(name)
    payload = raw.get("payload", {})
    if not isinstance(payload, Mapping):
        raise _Fault("payload: must be an object")
    return ReportedEvent(uuid, kind, version, _moment(raw.get("happened_at")), _read(kind, payload))


def _read(kind: EventKind, payload: Mapping[str, object]) -> dict[str, str | int]:
    fields = FIELDS[kind]
    unknown = sorted(str(name) for name in payload if name not in fields)
    if unknown:
        raise _Fault(f"payload.{unknown[0]:.60}: {kind} has no such field")
    return {
        name: _value(payload.get(name), shape, f"payload.{name}") for name, shape in fields.items()
    }


def _value(value: object, shape: Shape, name: str) -> str | int:
    if shape == "uuid":
        return str(_uuid(value, name))
    if shape == "key":
        return _text(value, name, least=1, most=KEY_MAX)
    if shape == "note":
        return _text("" if value is None else value, name, least=0, most=NOTE_MAX)
    if shape == "count":
        return _whole(0 if value is None else value, name, COUNT_MAX)
    return _whole(value, name, NUMBER_MAX)


def _text(value: object, name: str, *, least: int, most: int) -> str:
    if not isinstance(value, str) or not least <= len(value.strip()) <= most or "\0" in value:
        raise _Fault(f"{name}: must be a text of {least} to {most} signs")
    return value.strip()


def _whole(value: object, name: str, most: int) -> int:
    if type(value) is not int or not 0 <= value <= most:
        raise _Fault(f"{name}: must be a whole number from 0 to {most}")
    return value


def _uuid(value: object, name: str) -> UUID:
    if isinstance(value, UUID):
        return value
    try:
        return UUID(value if isinstance(value, str) else "")
    except ValueError:
        raise _Fault(f"{name}: must be a UUID") from None


def _moment(value: object) -> datetime:
    try:
        moment = value if isinstance(value, datetime) else datetime.fromisoformat(str(value))
    except ValueError:
        raise _Fault("happened_at: must be a date and time (RFC 3339)") from None
    if moment.tzinfo is None:
        raise _Fault("happened_at: must say its offset from UTC")
    if not 2000 <= moment.year <= 9000:
        raise _Fault("happened_at: must be a year between 2000 and 9000")
    return moment
