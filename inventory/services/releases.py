"""Leave to hand goods out: who may receive what, checked by whom; and the office's holds."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from inventory.errors import (
    NotOfShipmentError,
    ReferenceTakenError,
    UuidReusedError,
    WriteRefusedError,
)
from inventory.models import Hold, Item, Release, Shipment, User


@transaction.atomic
def release_create(
    *,
    shipment: Shipment,
    reference: str,
    receiver_name: str,
    uuid: UUID,
    now: datetime,
    items: Sequence[Item] = (),
) -> Release:
    """Release a shipment, or only some of its pieces. The same UUID gives the same release.

    Raises
    ------
    UuidReusedError : the UUID stands for a release with other content.
    ReferenceTakenError : the shipment has a release of that reference.
    NotOfShipmentError : a piece is another shipment's.
    """
    Shipment.objects.select_for_update().get(pk=shipment.pk)
    stray = tuple(str(item.tag) for item in items if item.shipment_id != shipment.pk)
    if stray:
        raise NotOfShipmentError(stray)
    before = Release.objects.filter(uuid=uuid).first()
    if before:
        asked = shipment.pk, reference, receiver_name, {item.pk for item in items}
        if asked != _content(before):
            raise UuidReusedError(uuid)
        return before
    if Release.objects.filter(shipment=shipment, reference=reference).exists():
        raise ReferenceTakenError(reference)
    release = Release.objects.create(
        uuid=uuid,
        shipment=shipment,
        reference=reference,
        receiver_name=receiver_name,
        created_at=now,
    )
    release.items.set(items)
    return release


@transaction.atomic
def release_split(*, release: Release, items: Sequence[Item], uuid: UUID, now: datetime) -> Release:
    """Let some pieces of a release go on a second trip, as a release of their own.

    The first keeps the others. Receiver and identity check are the same person's. The same UUID
    gives the same release.

    Raises
    ------
    WriteRefusedError : no piece, or all of them, or one that has left already.
    NotOfShipmentError : a piece is not of the release.
    UuidReusedError : the UUID stands for a release that is not such a second trip.
    """
    Shipment.objects.select_for_update().get(pk=release.shipment_id)
    second = {item.pk for item in items}
    if before := Release.objects.filter(uuid=uuid).first():
        shipment_id, _reference, _receiver, pieces = _content(before)
        if (shipment_id, pieces) != (release.shipment_id, second):
            raise UuidReusedError(uuid)
        return before
    named = list(release.items.all()) or list(release.shipment.items.all())
    stray = tuple(str(item.tag) for item in items if item not in named)
    if stray:
        raise NotOfShipmentError(stray)
    if not items or len(second) == len(named) or any(item.left_at for item in items):
        raise WriteRefusedError("items", _("a second trip takes some of what has not left yet"))
    made = Release.objects.create(
        uuid=uuid,
        shipment=release.shipment,
        reference=_next_reference(release),
        receiver_name=release.receiver_name,
        identity_checked_at=release.identity_checked_at,
        identity_checked_by=release.identity_checked_by,
        created_at=now,
    )
    made.items.set(items)
    release.items.set([item for item in named if item.pk not in second])
    return made


def release_identity_check(*, release: Release, by: User, now: datetime) -> Release:
    """Note that the receiver has shown who they are; the first note stays."""
    Release.objects.filter(pk=release.pk, identity_checked_at__isnull=True).update(
        identity_checked_at=now, identity_checked_by=by
    )
    release.refresh_from_db()
    return release


@transaction.atomic
def hold_place(
    *, shipment: Shipment, kind: str, reason: str, by: User, uuid: UUID, now: datetime
) -> Hold:
    """Hold a shipment back. The same UUID gives the same hold.

    Raises
    ------
    UuidReusedError : the UUID stands for another hold.
    """
    hold, new = Hold.objects.get_or_create(
        uuid=uuid,
        defaults={
            "shipment": shipment,
            "kind": kind,
            "reason": reason,
            "placed_by": by,
            "placed_at": now,
        },
    )
    if not new and (hold.shipment_id, hold.kind, hold.reason) != (shipment.pk, kind, reason):
        raise UuidReusedError(uuid)
    return hold


def hold_lift(*, hold: Hold, by: User, now: datetime) -> Hold:
    """Lift a hold; who lifted it first stays."""
    Hold.objects.filter(pk=hold.pk, lifted_at__isnull=True).update(lifted_at=now, lifted_by=by)
    hold.refresh_from_db()
    return hold


def _content(release: Release) -> tuple[int, str, str, set[int]]:
    items = set(release.items.values_list("pk", flat=True))
    return release.shipment_id, release.reference, release.receiver_name, items


def _next_reference(release: Release) -> str:
    """The release's own reference with the number of the trip behind it."""
    taken = set(
        Release.objects.filter(shipment=release.shipment_id).values_list("reference", flat=True)
    )
    numbered = (f"{release.reference[:34]}/{trip}" for trip in range(2, len(taken) + 3))
    return next(reference for reference in numbered if reference not in taken)
