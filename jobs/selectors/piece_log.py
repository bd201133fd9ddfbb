"""A piece's custody log: every event of every job that concerns it or the vault it lay in."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q

from inventory.models import Item
from jobs.folding import EventKind
from jobs.models import Event, Job, Stream
from jobs.selectors.afterwards import after_standing
from loading.selectors import loads_of_shipment


@dataclass(frozen=True, slots=True)
class LogLine:
    """One fact of a job; `undone` if it was taken back later."""

    event: Event
    job: Job
    undone: bool


def piece_log(*, item: Item) -> Sequence[LogLine]:
    """The custody log of a piece, in the order in which things happened.

    Events name a piece by the number on its tag, by the whole tag where the number was not enough,
    or by our own key; a replaced tag counts as well.
    """
    loads = loads_of_shipment(shipment_id=item.shipment_id)
    found = Job.objects.filter(load__in=loads).select_related("load")
    jobs = {str(job.pk): job for job in found}
    about = Q(payload__tag__in=sorted(_names(item)))
    vault = item.vault.code if item.vault else item.left_vault
    if vault:
        about |= Q(payload__vault=vault)
    told = Event.objects.filter(stream__kind=Stream.Kind.JOB, stream__key__in=list(jobs))
    undoing = told.filter(kind=EventKind.UNDONE)
    undone = {str(uuid) for uuid in undoing.values_list("payload__event", flat=True)}
    events = told.filter(about).select_related("actor", "stream").order_by("happened_at", "id")
    return [LogLine(event, jobs[event.stream.key], str(event.uuid) in undone) for event in events]


def piece_puts(*, item: Item) -> Sequence[Event]:
    """Where the piece was put in the warehouse after a load, the first first; what was taken back
    is left out."""
    return after_standing(branch=item.shipment.branch, subject={"payload__item": item.pk})


def _names(item: Item) -> set[str]:
    names = {f"piece {item.pk}"}
    for tag in item.tags.all():
        others = item.shipment.items.exclude(pk=item.pk).filter(tags__number=tag.number)
        names |= {str(tag)} if others.exists() else {str(tag), tag.number}
    return names
