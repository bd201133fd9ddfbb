from datetime import UTC, datetime, timedelta

from jobs.custody.hours import OnFloor, Waited, on_floor, waiting
from jobs.custody.log import CustodyEvent
from jobs.folding.kinds import EventKind

SIX = datetime(2026, 3, 4, 6, 0, tzinfo=UTC)


def told(minute: int, kind: EventKind, **payload: object) -> CustodyEvent:
    at = SIX + timedelta(minutes=minute)
    return CustodyEvent(f"{kind} {minute}", kind, payload, at, at, "lou")


def until(minute: int) -> datetime:
    return SIX + timedelta(minutes=minute)


def test_from_coming_to_leaving_without_the_break() -> None:
    day = [
        told(0, EventKind.HELPER_ON, member=1),
        told(30, EventKind.HELPER_BREAK, member=1),
        told(45, EventKind.HELPER_ON, member=1),
        told(60, EventKind.HELPER_OFF, member=1),
        told(10, EventKind.HELPER_ON, member=2),
    ]
    assert on_floor(day, until=until(90)) == (OnFloor(1, 45 * 60, 15 * 60), OnFloor(2, 80 * 60, 0))
    assert on_floor(reversed(day), until=until(90)) == on_floor(day, until=until(90))


def test_what_was_taken_back_counts_nothing() -> None:
    day = [
        told(0, EventKind.HELPER_ON, member=1),
        told(20, EventKind.HELPER_OFF, member=1),
        told(21, EventKind.UNDONE, event="helper_off 20"),
    ]
    assert on_floor(day, until=until(60)) == (OnFloor(1, 3600, 0),)


def test_pauses_by_reason_and_one_that_lasts() -> None:
    day = [
        told(0, EventKind.JOB_PAUSED, reason="weather"),
        told(10, EventKind.JOB_PAUSED, reason="customer"),
        told(15, EventKind.JOB_RESUMED),
        told(50, EventKind.JOB_PAUSED, reason="weather"),
    ]
    assert waiting(day, until=until(60)) == (Waited("customer", 300), Waited("weather", 1200))
    assert waiting([], until=until(60)) == ()
