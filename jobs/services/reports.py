"""What a person says of a task with a button on a page, as an event."""

from collections.abc import Mapping
from datetime import datetime

from inventory.models import User
from jobs.folding import EventKind
from jobs.folding.finishing import FINISHED_BY, subject_of
from jobs.folding.kinds import FIELDS
from jobs.models import Event, Job, Task
from jobs.services.events import EventAnswer, events_record

PROBLEMS = {
    "missing": EventKind.PIECE_MISSING,
    "does_not_fit": EventKind.PIECE_DOES_NOT_FIT,
    "exception": EventKind.EXCEPTION_NOTED,
    "not_found": EventKind.VAULT_NOT_FOUND,
}


def task_report(
    *,
    task: Task,
    said: str,
    uuid: str,
    counts: Mapping[str, int],
    note: str,
    actor: User,
    now: datetime,
) -> EventAnswer:
    """Record that a task is done ("done"), begun ("begun") or what is wrong (PROBLEMS).

    `uuid` was made when the page was shown, so pressing the button twice reports once.
    """
    kind, payload = _event(task, said, counts, note)
    return _record_once(task.job, kind, payload, uuid, actor, now)


def event_undo(*, job: Job, event: Event, uuid: str, actor: User, now: datetime) -> EventAnswer:
    """Take back an event; pressing twice, under the same `uuid`, takes it back once."""
    return _record_once(job, EventKind.UNDONE, {"event": str(event.uuid)}, uuid, actor, now)


def _record_once(
    job: Job,
    kind: EventKind,
    payload: Mapping[str, str | int],
    uuid: str,
    actor: User,
    now: datetime,
) -> EventAnswer:
    # A button has no clock: when it is pressed again, the first time counts as the time.
    former = Event.objects.filter(uuid=uuid).first()
    happened_at = former.happened_at if former else now
    event = {"uuid": uuid, "kind": kind, "happened_at": happened_at, "payload": payload}
    return events_record(job=job, events=[event], actor=actor, now=now)[0]


def _event(
    task: Task, said: str, counts: Mapping[str, int], note: str
) -> tuple[EventKind, dict[str, str | int]]:
    if said == "begun":
        return EventKind.TASK_BEGUN, {"task": task.key}
    kind = FINISHED_BY[task.kind] if said == "done" else PROBLEMS[said]
    known = {**subject_of(task), **counts, "note": note, "lane": task.lane}
    return kind, {name: known[name] for name in FIELDS[kind] if name in known}
