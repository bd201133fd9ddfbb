"""What people say with the buttons of a page that sends a form: some events at once."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from inventory.models import Device, User
from jobs.models import Event, Job
from jobs.services.events import EventAnswer, events_record


def events_tell(
    *,
    job: Job,
    told: Sequence[Mapping[str, Any]],
    uuid: UUID,
    actor: User,
    device: Device | None = None,
    now: datetime,
) -> list[EventAnswer]:
    """Record the events of one form, each `{"kind", "payload"}`, in their order.

    `uuid` was made with the page: it is the first event's, the others' follow from it, so that
    pressing the button twice reports once.
    """
    uuids = [uuid if n == 0 else uuid5(uuid, str(n)) for n in range(len(told))]
    # A button has no clock: when it is pressed again, the first time counts as the time.
    former = dict(Event.objects.filter(uuid__in=uuids).values_list("uuid", "happened_at"))
    events = [
        {**said, "uuid": str(key), "happened_at": former.get(key, now)}
        for key, said in zip(uuids, told, strict=True)
    ]
    return events_record(job=job, events=events, actor=actor, device=device, now=now)
