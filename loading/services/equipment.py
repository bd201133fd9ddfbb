"""Moving pads and equipment in the ledger, and counting a truck."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from inventory.models import Branch, User
from loading.errors import EquipmentRefused, EquipmentUuidReused
from loading.ledger import Account, Equipment, PlaceKind
from loading.models import EquipmentCount, EquipmentMovement, Load


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
        raise EquipmentRefused("count", "at least one must move")
    if source == target:
        raise EquipmentRefused("target", "is where it was")
    if target.kind is PlaceKind.LOST and not reason:
        raise EquipmentRefused("reason", "what is lost needs a reason")


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
        raise EquipmentRefused("count", "cannot be less than nothing")
    content = {"load_id": load.pk, "equipment": equipment.value, "count": count}
    stored, created = EquipmentCount.objects.get_or_create(
        id=count_id, defaults={**content, "counted_at": now, "counted_by": by}
    )
    if not created and {key: getattr(stored, key) for key in content} != content:
        raise EquipmentUuidReused(count_id)
    return stored
