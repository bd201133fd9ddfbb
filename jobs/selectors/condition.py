"""The condition of a piece when it was received and when it was released, side by side."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from inventory.condition import Mark, condition_marks
from inventory.models import Item, Moment, Photo
from inventory.selectors import conditions_by_label, item_conditions, item_photos
from jobs.folding import EventKind
from jobs.models import Job
from jobs.selectors.piece_log import piece_log
from loading.selectors import load_labels


@dataclass(frozen=True, slots=True)
class Seen:
    """What somebody saw when; `marks` explain a note in official marks, else it is in words."""

    note: str
    marks: tuple[Mark, ...]
    at: datetime
    by: str


@dataclass(frozen=True, slots=True)
class ConditionSide:
    """One of the two moments: what was seen, and the photographs."""

    moment: Moment
    seen: tuple[Seen, ...]
    photos: tuple[Photo, ...]


def piece_condition(*, item: Item) -> tuple[ConditionSide, ConditionSide]:
    """Both moments of a piece. What is noted on a job counts as its condition when released."""
    notes = list(item_conditions(item=item))
    photos = list(item_photos(item=item))
    on_jobs = [
        _seen(str(line.event.payload["note"]), line.event.happened_by_our_clock, line.event.actor)
        for line in piece_log(item=item)
        if line.event.kind == EventKind.EXCEPTION_NOTED and not line.undone
    ]
    sides = []
    for moment in (Moment.RECEIVED, Moment.RELEASED):
        own = [_seen(n.note, n.noted_at, n.noted_by) for n in notes if n.moment == moment]
        seen = own + (on_jobs if moment == Moment.RELEASED else [])
        taken = tuple(photo for photo in photos if photo.moment == moment)
        sides.append(ConditionSide(moment, tuple(sorted(seen, key=lambda s: s.at)), taken))
    return sides[0], sides[1]


@dataclass(frozen=True, slots=True)
class TagCondition:
    """A piece of a job whose condition was noted at either moment."""

    tag: str
    received: tuple[str, ...]
    released: tuple[str, ...]


def job_conditions(
    *, job: Job, tags: Iterable[str], exceptions: Sequence[Mapping[str, str]]
) -> tuple[TagCondition, ...]:
    """Both conditions of a job's pieces, of those of which something was noted."""
    labelled = load_labels(load=job.load, left=True, placed=False)
    labels = {item.pk: label for item, label in labelled}
    received = conditions_by_label(labels=labels, moment=Moment.RECEIVED)
    released = dict(conditions_by_label(labels=labels, moment=Moment.RELEASED))
    for noted in exceptions:
        released[noted["tag"]] = (*released.get(noted["tag"], ()), noted["note"])
    known = {**dict.fromkeys(tags), **dict.fromkeys(noted["tag"] for noted in exceptions)}
    return tuple(
        TagCondition(tag, received.get(tag, ()), released.get(tag, ()))
        for tag in known
        if tag in received or tag in released
    )


def _seen(note: str, at: datetime, by: object) -> Seen:
    return Seen(note, condition_marks(note) or (), at, str(by or ""))
