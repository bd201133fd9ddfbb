"""A floor schedule: who does which task when, and its form for storing."""

from collections.abc import Mapping
from dataclasses import dataclass

NEXT_TASKS = 3
"""So many tasks a helper knows ahead, also without a connection."""


class ScheduleError(ValueError):
    """A stored schedule makes no sense; the message names the key."""


@dataclass(frozen=True, slots=True)
class Entry:
    """People set off for a task at `goes_s` and work on it from `start_s` to `end_s`."""

    task: str
    people: tuple[str, ...]
    goes_s: int
    start_s: int
    end_s: int


@dataclass(frozen=True, slots=True)
class FloorSchedule:
    """Entries by the time they begin; the last end; a bound that none can end before.

    `left_over` are tasks for which nobody is there (any more).
    """

    entries: tuple[Entry, ...]
    end_s: int
    bound_s: int
    left_over: tuple[str, ...] = ()

    def of(self, worker: str) -> tuple[Entry, ...]:
        return tuple(entry for entry in self.entries if worker in entry.people)

    def next_of(self, worker: str, count: int = NEXT_TASKS) -> tuple[str, ...]:
        return tuple(entry.task for entry in self.of(worker)[:count])


def schedule_document(schedule: FloorSchedule) -> dict[str, object]:
    """The schedule as JSON."""
    return {
        "entries": [
            [entry.task, list(entry.people), entry.goes_s, entry.start_s, entry.end_s]
            for entry in schedule.entries
        ],
        "end_s": schedule.end_s,
        "bound_s": schedule.bound_s,
        "left_over": list(schedule.left_over),
    }


def parse_schedule(document: object) -> FloorSchedule:
    """The inverse of `schedule_document`; ScheduleError names the key that is wrong."""
    if not isinstance(document, Mapping):
        raise ScheduleError("schedule: must be an object")
    entries = document.get("entries")
    if not isinstance(entries, list):
        raise ScheduleError("entries: must be a list")
    return FloorSchedule(
        entries=tuple(_entry(k, row) for k, row in enumerate(entries)),
        end_s=_whole("end_s", document.get("end_s")),
        bound_s=_whole("bound_s", document.get("bound_s")),
        left_over=_texts("left_over", document.get("left_over")),
    )


def _entry(number: int, row: object) -> Entry:
    if not isinstance(row, list) or len(row) != 5 or not isinstance(row[0], str):
        raise ScheduleError(f"entries[{number}]: must be [task, people, goes, start, end]")
    where = f"entries[{number}]"
    goes_s, start_s, end_s = (_whole(where, time) for time in row[2:])
    return Entry(row[0], _texts(where, row[1]), goes_s, start_s, end_s)


def _whole(where: str, value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise ScheduleError(f"{where}: must be a whole number")
    return value


def _texts(where: str, value: object) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise ScheduleError(f"{where}: must be a list of texts")
    return tuple(value)
