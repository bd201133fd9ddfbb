"""Recording what people did and saw, in batches, each event once."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final, cast
from uuid import UUID

from django.db import IntegrityError, transaction

from inventory.models import Device, User
from inventory.permissions import user_may
from jobs.errors import BatchTooLarge
from jobs.folding import (
    Malformed,
    PlanFacts,
    ReportedEvent,
    State,
    apply,
    conflict_of,
    empty_state,
    fold,
    plan_facts,
    read_event,
)
from jobs.folding.kinds import CHANGES_WORK, WAREHOUSE_KINDS, WHOLE_FOLD, EventKind
from jobs.models import Event, Job, JobState
from jobs.selectors.events import event_folded, events_folded
from jobs.selectors.forklift_turns import jobs_at_forklift
from jobs.selectors.states import state_read
from jobs.services.effects import event_follow
from jobs.services.live import change_publish
from jobs.services.replan_asking import replan_ask, replan_causes
from jobs.services.schedule_asking import schedule_ask, schedule_follow
from jobs.services.sending import assigning_send
from jobs.services.streams import LockedStreams, number_take, streams_lock
from jobs.services.task_states import members_write, standing_tasks, task_states_write
from jobs.services.wishes import wished_tasks_make

BATCH_LIMIT: Final = 200

RECORDED, REPEATED, CONFLICT, REFUSED = "recorded", "repeated", "conflict", "refused"
MALFORMED: Final = "malformed"
NOT_PERMITTED: Final = "not_permitted"
JOB_CLOSED: Final = "job_closed"
UUID_REUSED: Final = "uuid_reused"
REFUSALS: Final = (MALFORMED, NOT_PERMITTED, JOB_CLOSED, UUID_REUSED)
"""The only reasons for which an event is refused."""


@dataclass(frozen=True, slots=True)
class EventAnswer:
    """What became of one event. `code` is one of REFUSALS, or what a conflict contradicts."""

    uuid: UUID | None
    answer: str
    code: str = ""
    detail: str = ""
    sequence: int | None = None


@dataclass(frozen=True, slots=True)
class _Batch:
    """A batch as it arrived: whose, from where, by which clock."""

    job: Job
    reports: Sequence[ReportedEvent | Malformed]
    actor: User | None
    device: Device | None
    clock_offset_ms: int
    ours: bool
    now: datetime


@dataclass(slots=True)
class _Book:
    """The job's stream while a batch is written into it."""

    streams: LockedStreams
    state: State
    facts: PlanFacts
    known: dict[UUID, Event]
    added: list[Event] = field(default_factory=list)


def events_record(
    *,
    job: Job,
    events: Sequence[object],
    actor: User | None,
    device: Device | None = None,
    clock_offset_ms: int = 0,
    ours: bool = False,
    now: datetime,
) -> list[EventAnswer]:
    """Record a batch of at most 200 events and say what became of each, in their order.

    Whether an event is known already is looked up before any rule, so a phone may send what
    it is unsure of again. What happened is never refused: what contradicts the plan is
    recorded as a conflict. `ours`: the software itself records, and asks nobody's permission.
    Raises `BatchTooLarge` before anything is recorded.
    """
    if len(events) > BATCH_LIMIT:
        raise BatchTooLarge(len(events), BATCH_LIMIT)
    reports = [read_event(raw, ours=ours) for raw in events]
    batch = _Batch(job, reports, actor, device, clock_offset_ms, ours, now)
    try:
        return _batch_write(batch)
    except IntegrityError:
        # Another job recorded one of these UUIDs meanwhile; now it is found and refused.
        return _batch_write(batch)


@transaction.atomic
def _batch_write(batch: _Batch) -> list[EventAnswer]:
    kinds = {report.kind for report in batch.reports if isinstance(report, ReportedEvent)}
    streams = streams_lock(job=batch.job, kinds=kinds)
    job = Job.objects.select_for_update(no_key=True).get(pk=batch.job.pk)
    stored, _ = JobState.objects.get_or_create(
        job=job, defaults={"state": cast(dict[str, Any], empty_state())}
    )
    tasks = standing_tasks(job)
    uuids = [report.uuid for report in batch.reports if report.uuid is not None]
    known = {event.uuid: event for event in Event.objects.filter(uuid__in=uuids)}
    book = _Book(streams, state_read(job=job, stored=stored), plan_facts(tasks), known)
    refusal = _refusal(batch, job)
    answers = [_answer(batch, book, report, refusal) for report in batch.reports]
    if book.added:
        Event.objects.bulk_create(book.added)
        streams.save()
        stored.state = cast(dict[str, Any], book.state)
        stored.sequence = streams.job.last_sequence
        stored.save(update_fields=["state", "sequence"])
        for event in book.added:
            event_follow(job=job, event=event, state=book.state, now=batch.now)
        members_write(job=job, state=book.state, now=batch.now, arrived=_arrived(book.added))
        tasks = wished_tasks_make(job=job, state=book.state, tasks=tasks)
        task_states_write(job=job, state=book.state, tasks=tasks, now=batch.now)
        replan_ask(job=job, causes=replan_causes(book.added), now=batch.now)
        _schedule_wish(job, book.added, batch.now)
        assigning_send(job.id)
        _forklift_free(job, kinds)
        change_publish(job.id, job.branch_id)
    return answers


def _arrived(added: Sequence[Event]) -> list[int]:
    return [event.payload["member"] for event in added if event.kind == EventKind.HELPER_ON]


def _forklift_free(job: Job, kinds: Collection[EventKind]) -> None:
    """What was done in the lanes lets another job's work begin there, or have the forklift."""
    if not WAREHOUSE_KINDS.isdisjoint(kinds):
        for other in jobs_at_forklift(job=job):
            assigning_send(other.id)


def _schedule_wish(job: Job, added: Sequence[Event], now: datetime) -> None:
    if any(event.kind in CHANGES_WORK for event in added):
        schedule_ask(job=job, now=now)
    else:
        schedule_follow(job=job, now=now)


def _refusal(batch: _Batch, job: Job) -> str:
    """Why nothing new of this batch is taken, or ""."""
    revoked = batch.device is not None and batch.device.revoked_at is not None
    if revoked or not (batch.ours or _may_report(batch.actor, job)):
        return NOT_PERMITTED
    return JOB_CLOSED if job.status == Job.Status.CLOSED else ""


def _may_report(actor: User | None, job: Job) -> bool:
    return actor is not None and user_may(user=actor, branch=job.branch, action="event.record")


def _answer(
    batch: _Batch, book: _Book, report: ReportedEvent | Malformed, refusal: str
) -> EventAnswer:
    former = book.known.get(report.uuid) if report.uuid else None
    if former is not None:
        if isinstance(report, ReportedEvent) and _same(former, report, book):
            return EventAnswer(report.uuid, REPEATED, former.conflict, sequence=former.sequence)
        return EventAnswer(report.uuid, REFUSED, UUID_REUSED, "known with other content")
    if isinstance(report, Malformed):
        return EventAnswer(report.uuid, REFUSED, MALFORMED, report.detail)
    if refusal:
        return EventAnswer(report.uuid, REFUSED, refusal)
    event = _written(batch, book, report)
    return EventAnswer(report.uuid, event.outcome, event.conflict, sequence=event.sequence)


def _same(former: Event, report: ReportedEvent, book: _Book) -> bool:
    content = (report.kind.value, report.version, dict(report.payload), report.happened_at)
    stored = (former.kind, former.version, former.payload, former.happened_at)
    return content == stored and former.stream_id == book.streams.job.pk


def _written(batch: _Batch, book: _Book, report: ReportedEvent) -> Event:
    event = _numbered(batch, book, report)
    seen = event_folded(event)
    event.conflict = conflict_of(book.state, book.facts, seen)
    event.outcome = CONFLICT if event.conflict else RECORDED
    if seen.kind in WHOLE_FOLD:
        before = events_folded(stream=book.streams.job)
        book.state = fold([*before, *map(event_folded, book.added), event_folded(event)])
    else:
        apply(book.state, seen)
    book.added.append(event)
    book.known[report.uuid] = event
    return event


def _numbered(batch: _Batch, book: _Book, report: ReportedEvent) -> Event:
    second = book.streams.second_for(report.kind)
    return Event(
        stream=book.streams.job,
        sequence=number_take(book.streams.job),
        also_stream=second,
        also_sequence=None if second is None else number_take(second),
        uuid=report.uuid,
        kind=report.kind.value,
        version=report.version,
        payload=dict(report.payload),
        actor=batch.actor,
        device=batch.device,
        happened_at=report.happened_at,
        clock_offset_ms=batch.clock_offset_ms,
        recorded_at=batch.now,
    )
