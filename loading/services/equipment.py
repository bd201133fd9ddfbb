"""Moving pads and equipment in the ledger, and counting a truck."""

from datetime import datetime
from typing import Final
from uuid import UUID, uuid5

from django.db import transaction
from django.db.models import Q, Sum
from django.utils.translation import gettext as _

from inventory.models import Branch, User
from loading.errors import EquipmentRefused, EquipmentUuidReused
from loading.ledger import Account, Equipment, PlaceKind
from loading.models import EquipmentCount, EquipmentMovement, Load

OPENING: Final = UUID("5d0f6a3e-0c51-4a55-9d2e-2c9f6b1a7e40")
"""Movements that open an account are named below this, so that each is written once."""


@transaction.atomic
def equipment_move(
    *,
    movement_id: UUID,
    branch: Branch,
    equipment: Equipment,
    source: Account,
    target: Account,
    count: int,
    now: datetime,
    by: User | None = None,
    reason: str = "",
) -> EquipmentMovement:
    """Write a movement. The same UUID with the same content is one movement.

    What was moved, was moved: a place may be overdrawn, and the balances say so. Raises
    `EquipmentRefused` naming what cannot be, `EquipmentUuidReused`.
    """
    _demand_possible(source, target, count, reason)
    content = {
        "branch_id": branch.pk,
        "equipment": equipment.value,
        "source_kind": source.kind.value,
        "source_key": source.key,
        "target_kind": target.kind.value,
        "target_key": target.key,
        "count": count,
        "reason": reason,
    }
    stored, created = EquipmentMovement.objects.get_or_create(
        id=movement_id, defaults={**content, "moved_at": now, "moved_by": by}
    )
    if not created and {key: getattr(stored, key) for key in content} != content:
        raise EquipmentUuidReused(movement_id)
    return stored


def _demand_possible(source: Account, target: Account, count: int, reason: str) -> None:
    if count < 1:
        raise EquipmentRefused("count", _("at least one must move"))
    if source == target:
        raise EquipmentRefused("target", _("is where it was"))
    if target.kind is PlaceKind.LOST and not reason:
        raise EquipmentRefused("reason", _("what is lost needs a reason"))


def load_pads_open(*, load: Load, now: datetime) -> None:
    """Bring into the ledger what is there before the first movement: the truck's pads by its
    record, the storage pads by the list. A place of which the ledger knows anything is left."""
    truck = Account(PlaceKind.TRUCK, load.truck.name)
    opening = [(f"truck {load.truck_id}", truck, load.truck.pads)]
    for shipment in (release.shipment for release in load.releases()):
        storage = Account(PlaceKind.STORAGE, shipment.reference)
        on_goods = shipment.items.filter(left_at__isnull=True).aggregate(pads=Sum("storage_pads"))
        opening.append((f"shipment {shipment.pk}", storage, on_goods["pads"]))
    for name, account, count in opening:
        if count and not _is_known(load.branch_id, account):
            equipment_move(
                movement_id=uuid5(OPENING, name),
                branch=load.branch,
                equipment=Equipment.PAD,
                source=Account(PlaceKind.OUTSIDE),
                target=account,
                count=count,
                now=now,
                reason="there before the ledger",
            )


def _is_known(branch_id: int, account: Account) -> bool:
    left = Q(source_kind=account.kind.value, source_key=account.key)
    came = Q(target_kind=account.kind.value, target_key=account.key)
    moved = EquipmentMovement.objects.filter(left | came, branch=branch_id)
    return moved.filter(equipment=Equipment.PAD.value).exists()


@transaction.atomic
def equipment_count_record(
    *,
    count_id: UUID,
    load: Load,
    equipment: Equipment,
    count: int,
    now: datetime,
    by: User | None = None,
) -> EquipmentCount:
    """Write what somebody counted in a load's truck. The same UUID is one count."""
    if count < 0:
        raise EquipmentRefused("count", _("cannot be less than nothing"))
    load_pads_open(load=load, now=now)
    content = {"load_id": load.pk, "equipment": equipment.value, "count": count}
    stored, created = EquipmentCount.objects.get_or_create(
        id=count_id, defaults={**content, "counted_at": now, "counted_by": by}
    )
    if not created and {key: getattr(stored, key) for key in content} != content:
        raise EquipmentUuidReused(count_id)
    return stored
