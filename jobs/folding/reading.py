"""Reading one event of a batch: either all of it is sound or nothing of it is taken."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from jobs.folding.kinds import (
    FIELDS,
    OURS,
    PART_FIELDS,
    POSTURES,
    REASONS,
    VERSION,
    EventKind,
    Shape,
)

COUNT_MAX = 999
NUMBER_MAX = 2**31 - 1
KEY_MAX = 80
LABEL_MAX = 40
NOTE_MAX = 300
PLACE_MAX_MM = 30_000
LENGTH_MAX_MM = 20_000
WEIGHT_MAX_G = 10_000_000
PARTS_MAX = 26
KEYS_MAX = 5_000


@dataclass(frozen=True, slots=True)
class ReportedEvent:
    """An event as a device reports it. `payload` holds exactly the fields of its kind."""

    uuid: UUID
    kind: EventKind
    version: int
    happened_at: datetime
    payload: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Malformed:
    """What cannot be an event, and why. The UUID is None where it is what is wrong."""

    uuid: UUID | None
    detail: str


class _Fault(Exception):
    """What is wrong with a field, as a sentence that names it."""


def read_event(raw: object, *, ours: bool = False) -> ReportedEvent | Malformed:
    """Read `{"uuid", "kind", "version", "happened_at", "payload"}`; version 1 may be left out.

    `ours`: it comes from the software itself, which alone may record the kinds in OURS.
    """
    if not isinstance(raw, Mapping):
        return Malformed(None, "an event must be an object")
    try:
        uuid = _uuid(raw.get("uuid"), "uuid")
    except _Fault as fault:
        return Malformed(None, str(fault))
    try:
        return _sound_event(uuid, raw, ours)
    except _Fault as fault:
        return Malformed(uuid, str(fault))


def _sound_event(uuid: UUID, raw: Mapping[str, object], ours: bool) -> ReportedEvent:
    name = raw.get("kind")
    if not isinstance(name, str) or name not in list(EventKind):
        raise _Fault(f"kind: no event is called {name!r:.60}")
    version = raw.get("version", VERSION)
    if type(version) is not int or version != VERSION:
        raise _Fault(f"version: want {VERSION}")
    kind = EventKind(name)
    if kind in OURS and not ours:
        raise _Fault(f"kind: {kind} cannot be reported")
    payload = raw.get("payload", {})
    if not isinstance(payload, Mapping):
        raise _Fault("payload: must be an object")
    sound = _read(payload, FIELDS[kind], "payload", kind)
    return ReportedEvent(uuid, kind, version, _moment(raw.get("happened_at")), sound)


def _read(
    payload: Mapping[str, object], fields: Mapping[str, Shape], at: str, what: str
) -> dict[str, Any]:
    unknown = sorted(str(name) for name in payload if name not in fields)
    if unknown:
        raise _Fault(f"{at}.{unknown[0]:.60}: {what} has no such field")
    return {
        name: _READERS[shape](payload.get(name), f"{at}.{name}") for name, shape in fields.items()
    }


def _text(value: object, name: str, *, least: int, most: int) -> str:
    if not isinstance(value, str) or not least <= len(value.strip()) <= most or "\0" in value:
        raise _Fault(f"{name}: must be a text of {least} to {most} signs")
    return value.strip()


def _whole(value: object, name: str, most: int, *, least: int = 0) -> int:
    if type(value) is not int or not least <= value <= most:
        raise _Fault(f"{name}: must be a whole number from {least} to {most}")
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


def _key(value: object, name: str) -> str:
    return _text(value, name, least=1, most=KEY_MAX)


def _label(value: object, name: str) -> str:
    return _text("" if value is None else value, name, least=0, most=LABEL_MAX)


def _note(value: object, name: str) -> str:
    return _text("" if value is None else value, name, least=0, most=NOTE_MAX)


def _count(value: object, name: str) -> int:
    return _whole(0 if value is None else value, name, COUNT_MAX)


def _maybe_place(value: object, name: str) -> int | None:
    return None if value is None else _whole(value, name, PLACE_MAX_MM)


def _flag(value: object, name: str) -> bool:
    if value is not None and not isinstance(value, bool):
        raise _Fault(f"{name}: must be true or false")
    return value is not False


def _parts(value: object, name: str) -> list[dict[str, Any]]:
    if not isinstance(value, list) or not 2 <= len(value) <= PARTS_MAX:
        raise _Fault(f"{name}: must be a list of 2 to {PARTS_MAX} parts")
    if not all(isinstance(part, Mapping) for part in value):
        raise _Fault(f"{name}: each part must be an object")
    return [
        _read(part, PART_FIELDS, f"{name}.{number}", "a part") for number, part in enumerate(value)
    ]


def _keys(value: object, name: str) -> list[str]:
    if not isinstance(value, list) or len(value) > KEYS_MAX:
        raise _Fault(f"{name}: must be a list of at most {KEYS_MAX} keys")
    return [_key(key, f"{name}.{number}") for number, key in enumerate(value)]


def _one_of(value: object, name: str, known: tuple[str, ...]) -> str:
    if value not in known or not isinstance(value, str):
        raise _Fault(f"{name}: must be one of {', '.join(known)}")
    return value


_READERS: Mapping[Shape, Callable[[object, str], Any]] = {
    "key": _key,
    "label": _label,
    "note": _note,
    "count": _count,
    "number": lambda value, name: _whole(value, name, NUMBER_MAX),
    "place": lambda value, name: _whole(value, name, PLACE_MAX_MM),
    "maybe_place": _maybe_place,
    "length": lambda value, name: _whole(value, name, LENGTH_MAX_MM, least=1),
    "weight": lambda value, name: _whole(value, name, WEIGHT_MAX_G, least=1),
    "flag": _flag,
    "posture": lambda value, name: _one_of(value, name, POSTURES),
    "reason": lambda value, name: _one_of(value, name, REASONS),
    "parts": _parts,
    "keys": _keys,
    "uuid": lambda value, name: str(_uuid(value, name)),
}
