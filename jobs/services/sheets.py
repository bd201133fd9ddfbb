"""What was ticked on a printed sheet, told afterwards."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from inventory.models import Device, User
from jobs.folding.finishing import FINISHED_BY, subject_of
from jobs.folding.kinds import FIELDS
from jobs.models import Job, Task
from jobs.services.events import BATCH_LIMIT, EventAnswer, events_record

PADS = ("storage_pads_off", "moving_pads_on", "pads")
"""The counts of an event that a sheet has one column for. Unpacking takes storage pads off."""


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A task that was ticked: when it was done, by which UUID it is told, how many pads."""

    task: Task
    uuid: UUID
    done_at: datetime
    pads: int | None


def sheet_record(
    *,
    job: Job,
    lines: Sequence[SheetLine],
    actor: User,
    device: Device | None = None,
    now: datetime,
) -> list[EventAnswer]:
    """Record the ticked lines as events, in the order in which they happened.

    Each is answered, in that order. The same lines may be sent again: what is known by its UUID is
    not recorded twice. More than one batch holds are recorded batch by batch.
    """
    ordered = sorted(lines, key=lambda line: (line.done_at, line.task.sequence))
    answers: list[EventAnswer] = []
    for begin in range(0, len(ordered), BATCH_LIMIT):
        events = [_event(line) for line in ordered[begin : begin + BATCH_LIMIT]]
        answers += events_record(job=job, events=events, actor=actor, device=device, now=now)
    return answers


def _event(line: SheetLine) -> dict[str, Any]:
    kind = FINISHED_BY[line.task.kind]
    known: dict[str, Any] = {**subject_of(line.task), "lane": line.task.lane}
    payload = {name: known[name] for name in FIELDS[kind] if name in known}
    counted = next((name for name in PADS if name in FIELDS[kind]), None)
    if counted and line.pads is not None:
        payload[counted] = line.pads
    return {
        "uuid": str(line.uuid),
        "kind": kind.value,
        "happened_at": line.done_at,
        "payload": payload,
    }
