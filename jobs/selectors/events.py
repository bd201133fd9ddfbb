"""A job's events as the fold wants them."""

from collections.abc import Sequence

from inventory.models import User
from jobs.folding import EventKind, FoldEvent, State, fold
from jobs.models import Event, Job, Stream


def event_folded(event: Event) -> FoldEvent:
    return FoldEvent(
        uuid=str(event.uuid),
        kind=EventKind(event.kind),
        payload=event.payload,
        at_ms=round(event.happened_by_our_clock.timestamp() * 1000),
        conflict=event.conflict,
    )


def events_folded(*, stream: Stream) -> list[FoldEvent]:
    """All events of a stream, the oldest number first."""
    return [event_folded(event) for event in stream.events.order_by("sequence")]


def job_state_fresh(*, job: Job) -> State:
    """The fold of all events of a job, without looking at the stored state."""
    stream = Stream.objects.filter(kind=Stream.Kind.JOB, key=str(job.id)).first()
    return fold(events_folded(stream=stream) if stream else [])


def job_events(*, job: Job, after: int = 0, most: int) -> Sequence[Event]:
    """A job's events with a number above `after`, the lowest first."""
    return list(
        Event.objects.filter(
            stream__kind=Stream.Kind.JOB, stream__key=str(job.id), sequence__gt=after
        )
        .select_related("actor")
        .order_by("sequence")[:most]
    )


def last_report(*, user: User, job: Job | None = None) -> Event | None:
    """What a person reported last, if it can be taken back and has not been.

    `job` is one that has been read already, most likely the one it was reported for.
    """
    reports = Event.objects.filter(actor=user, stream__kind=Stream.Kind.JOB)
    last = reports.select_related("stream").order_by("-id").first()
    if last is None or last.kind == EventKind.UNDONE:
        return None
    return None if _is_closed(last.stream.key, job) else last


def _is_closed(key: str, job: Job | None) -> bool:
    if job is not None and key == str(job.pk):
        return job.status == Job.Status.CLOSED
    return Job.objects.filter(pk=key, status=Job.Status.CLOSED).exists()
