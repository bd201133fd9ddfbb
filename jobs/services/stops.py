"""Another stop for some pieces, also while their truck is being loaded."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import uuid4

from django.db import transaction

from inventory.models import Item, User
from inventory.services import items_stop_set
from jobs.folding import EventKind
from jobs.folding.state import piece_key
from jobs.models import Job
from jobs.selectors.states import job_state
from jobs.services.events import BATCH_LIMIT, events_record
from loading.selectors import load_request_document, loads_of_shipment


@transaction.atomic
def stop_set(*, items: Sequence[Item], stop: int, by: User | None, now: datetime) -> list[Job]:
    """Deliver pieces at a stop, also one that no list had, and give the jobs that plan anew for it.

    A load that is being loaded is told by events, so that the rest of it is planned anew. Asking
    twice changes nothing. Raises `WriteRefusedError` for a stop before the first.
    """
    items_stop_set(items=items, stop=stop)
    shipments = {item.shipment_id for item in items}
    loads = [load.pk for key in sorted(shipments) for load in loads_of_shipment(shipment_id=key)]
    at_work = Job.objects.filter(load__in=loads, status__in=Job.AT_WORK, tasks_plan__isnull=False)
    return [job for job in at_work.order_by("pk") if _told(job, by, now)]


def _told(job: Job, by: User | None, now: datetime) -> bool:
    """Tell a job which of its pieces storage has at another stop; whether there are any."""
    assert job.tasks_plan is not None  # asked for
    state = job_state(job=job)
    known = _stops(job.tasks_plan.request_document)
    known |= {tag: said["value"] for tag, said in state["stops"].items()}
    changed = {
        tag: stop
        for tag, stop in _stops(load_request_document(load=job.load)).items()
        if known.get(piece_key(state, tag), stop) != stop
    }
    events = [_event(tag, stop, now) for tag, stop in changed.items()]
    for first in range(0, len(events), BATCH_LIMIT):
        batch = events[first : first + BATCH_LIMIT]
        events_record(job=job, events=batch, actor=by, ours=True, now=now)
    return bool(events)


def _stops(document: dict[str, Any]) -> dict[str, int]:
    return {item["tag"]: item["stop"] for item in document["items"]}


def _event(tag: str, stop: int, now: datetime) -> dict[str, Any]:
    return {
        "uuid": str(uuid4()),
        "kind": EventKind.STOP_CHANGED,
        "happened_at": now,
        "payload": {"tag": tag, "stop": stop},
    }
