"""Doing what is left when a truck has gone: each thing once, and in the warehouse's record."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from inventory.errors import UuidReusedError
from inventory.models import Branch, Item, Lane, Upkeep, User, Vault
from inventory.services import item_put, vault_stow, vault_upkeep_set
from jobs.folding.after import AfterKind
from jobs.models import Event, Stream
from jobs.services.streams import number_take, stream_locked
from loading.ledger import Account, Equipment, PlaceKind
from loading.models import Load
from loading.services import equipment_move


@dataclass(frozen=True, slots=True)
class Told:
    """Who says it, when, and the UUID under which it may be said twice."""

    uuid: UUID
    by: User | None
    now: datetime


def vault_swept(*, vault: Vault, mend: str, told: Told) -> None:
    """An empty vault was swept; `mend` says what is to be mended before it is used again, or "".

    Raises `WriteRefusedError` for a vault with goods in it.
    """
    upkeep = Upkeep.MEND if mend.strip() else Upkeep.READY
    _record(
        vault.branch,
        AfterKind.VAULT_SWEPT,
        {"vault": vault.code, "mend": mend.strip()},
        told,
        lambda: vault_upkeep_set(vault=vault, upkeep=upkeep, note=mend),
    )


def vault_mended(*, vault: Vault, told: Told) -> None:
    """A vault was mended and can be used again."""
    _record(
        vault.branch,
        AfterKind.VAULT_MENDED,
        {"vault": vault.code},
        told,
        lambda: vault_upkeep_set(vault=vault, upkeep=Upkeep.READY),
    )


def vault_stowed(*, vault: Vault, lane: Lane, told: Told) -> None:
    """A vault was brought into a lane, onto its front stack. Raises `PlaceRefusedError`."""
    _record(
        vault.branch,
        AfterKind.VAULT_STOWED,
        {"vault": vault.code, "lane": lane.name},
        told,
        lambda: vault_stow(vault=vault, lane=lane),
    )


def piece_put(*, item: Item, place: str, told: Told) -> None:
    """A piece that stays in storage was put at a place. Raises `WriteRefusedError`."""
    _record(
        item.shipment.branch,
        AfterKind.PIECE_PUT,
        {"item": item.pk, "tag": item.tag or "", "place": place.strip()},
        told,
        lambda: item_put(item=item, place=place),
    )


def equipment_came_back(
    *, load: Load, equipment: Equipment, home: int, wash: int, lost: int, reason: str, told: Told
) -> None:
    """So many of what went out with a load came home, went to the wash, or are lost for a reason.

    Raises `EquipmentRefused` where something lost has no reason, or nothing came back.
    """
    goods = Account(PlaceKind.JOB, load.reference)
    ways = ((PlaceKind.WAREHOUSE, home), (PlaceKind.WASH, wash), (PlaceKind.LOST, lost))

    def moved() -> None:
        # With nothing told the ledger refuses the first way: at least one must move.
        for target, count in [way for way in ways if way[1]] or ways[:1]:
            equipment_move(
                movement_id=uuid5(told.uuid, target.value),
                branch=load.branch,
                equipment=equipment,
                source=goods,
                target=Account(target),
                count=count,
                reason=reason,
                by=told.by,
                now=told.now,
            )

    payload = {"load": load.reference, "equipment": equipment.value}
    counts = {"home": home, "wash": wash, "lost": lost, "note": reason}
    _record(load.branch, AfterKind.EQUIPMENT_CAME_BACK, payload | counts, told, moved)


@transaction.atomic
def _record(
    branch: Branch,
    kind: AfterKind,
    payload: dict[str, Any],
    told: Told,
    effect: Callable[[], object],
) -> None:
    """Change storage and write the fact into the warehouse's stream; said twice it is one."""
    stream = stream_locked(branch=branch, kind=Stream.Kind.WAREHOUSE, key=branch.code)
    if former := Event.objects.filter(uuid=told.uuid).first():
        if (former.kind, former.payload) != (kind.value, payload):
            raise UuidReusedError(told.uuid)
        return
    effect()
    Event.objects.create(
        stream=stream,
        sequence=number_take(stream),
        uuid=told.uuid,
        kind=kind.value,
        payload=payload,
        actor=told.by,
        happened_at=told.now,
        recorded_at=told.now,
        outcome=Event.Outcome.RECORDED,
    )
    stream.save(update_fields=["last_sequence"])
