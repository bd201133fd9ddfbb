"""Photographs that are taken on the floor: of a piece of the job, of an exception."""

from datetime import datetime
from uuid import UUID

from inventory.models import Item, Moment, Photo, User
from inventory.services import PhotoOf, photo_store
from jobs.models import Job
from loading.selectors import load_labels


def job_photo_store(
    *,
    job: Job,
    photo_id: UUID,
    tag: str,
    sent: bytes,
    event: UUID | None,
    taken_at: datetime,
    by: User | None,
    now: datetime,
) -> Photo:
    """Keep a photograph of a piece. The phone's own UUID makes it count once.

    `event` is the exception that it shows; the photograph may arrive before it, and after the job
    was closed. What no list knows is kept under the tag that was told. Raises what
    `inventory.services.photo_store` raises.
    """
    of = PhotoOf(
        branch=job.branch,
        moment=Moment.RELEASED,
        item=_item(job, tag),
        tag=tag,
        subject=f"job {job.pk}",
        event=event,
    )
    return photo_store(photo_id=photo_id, of=of, sent=sent, taken_at=taken_at, by=by, now=now)


def _item(job: Job, tag: str) -> Item | None:
    """The piece that the tag is or was on, if there is just one."""
    named = load_labels(load=job.load, left=True)
    if exact := next((item for item, label in named if label == tag), None):
        return exact
    shipments = [release.shipment_id for release in job.load.releases()]
    found = list(Item.objects.filter(shipment__in=shipments, tags__number=tag).distinct()[:2])
    return found[0] if len(found) == 1 else None
