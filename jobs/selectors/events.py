"""A job's events as the fold wants them."""

from jobs.folding import EventKind, FoldEvent, State, fold
from jobs.models import Event, Job, Stream


def event_folded(event: Event) -> FoldEvent:
    return FoldEvent(
        uuid=str(event.uuid),
        kind=EventKind(event.kind),
        payload=event.payload,
        at_ms=round(event.happened_by_our_clock.timestamp() * 1000),
    )


def events_folded(*, stream: Stream) -> list[FoldEvent]:
    """All events of a stream, the oldest number first."""
    return [event_folded(event) for event in stream.events.order_by("sequence")]


def job_state_fresh(*, job: Job) -> State:
    """The fold of all events of a job, without looking at the stored state."""
    stream = Stream.objects.filter(kind=Stream.Kind.JOB, key=str(job.id)).first()
    return fold(events_folded(stream=stream) if stream else [])
