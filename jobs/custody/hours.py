"""How long people worked on a job and how long it stood still, out of its events."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from jobs.custody.log import CustodyEvent
from jobs.folding.kinds import EventKind

_PRESENCE = (EventKind.HELPER_ON, EventKind.HELPER_OFF, EventKind.HELPER_BREAK)


@dataclass(frozen=True, slots=True)
class OnFloor:
    """How long a member of the crew was on the floor and how long on a break, in seconds."""

    member: int
    worked_s: int
    break_s: int


@dataclass(frozen=True, slots=True)
class Waited:
    """How long a job stood still, and why, in seconds."""

    reason: str
    waited_s: int


def on_floor(events: Iterable[CustodyEvent], *, until: datetime) -> tuple[OnFloor, ...]:
    """Each member's time from coming to leaving; whoever has not left counts `until` then."""
    said: dict[int, list[tuple[datetime, EventKind]]] = {}
    for event in _in_order(events, _PRESENCE):
        said.setdefault(event.payload["member"], []).append((event.happened_at, event.kind))
    return tuple(_member(member, told, until) for member, told in sorted(said.items()))


def waiting(events: Iterable[CustodyEvent], *, until: datetime) -> tuple[Waited, ...]:
    """The pauses of a job by their reason; one pause into another ends the first."""
    total: dict[str, int] = {}
    reason, since = "", until
    for event in _in_order(events, (EventKind.JOB_PAUSED, EventKind.JOB_RESUMED)):
        if reason:
            total[reason] = total.get(reason, 0) + _seconds(since, event.happened_at)
        is_pause = event.kind is EventKind.JOB_PAUSED
        reason, since = (event.payload["reason"] if is_pause else ""), event.happened_at
    if reason:
        total[reason] = total.get(reason, 0) + _seconds(since, until)
    return tuple(Waited(reason, seconds) for reason, seconds in sorted(total.items()) if seconds)


def _member(member: int, told: list[tuple[datetime, EventKind]], until: datetime) -> OnFloor:
    spent = dict.fromkeys(_PRESENCE, 0)
    ends = [at for at, _ in told[1:]] + [max(until, told[-1][0])]
    for (begin, kind), end in zip(told, ends, strict=True):
        spent[kind] += _seconds(begin, end)
    return OnFloor(member, spent[EventKind.HELPER_ON], spent[EventKind.HELPER_BREAK])


def _in_order(events: Iterable[CustodyEvent], kinds: tuple[EventKind, ...]) -> list[CustodyEvent]:
    """Those events as they happened, without what was taken back."""
    events = list(events)
    undone = {event.payload["event"] for event in events if event.kind is EventKind.UNDONE}
    found = [event for event in events if event.kind in kinds and event.uuid not in undone]
    return sorted(found, key=lambda event: (event.happened_at, event.recorded_at))


def _seconds(begin: datetime, end: datetime) -> int:
    return max(0, round((end - begin).total_seconds()))
