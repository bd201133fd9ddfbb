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
from jobs.folding.after import WAS, AfterKind
from jobs.models import Event, Stream
from jobs.services.streams import number_take, stream_locked
from loading.ledger import Account, Equipment, PlaceKind
from loading.models import Load
from loading.services import equipment_move

Was = dict[str, Any]
"""How what is changed was before."""


@dataclass(frozen=True, slots=True)
class Told:
    """Who says it, when, and the UUID under which it may be said twice.

    `happened_at` is the clock of whoever saw it; None: it was seen when it was said.
    """

    uuid: UUID
    by: User | None
    now: datetime
    happened_at: datetime | None = None


def vault_swept(*, vault: Vault, mend: str, told: Told) -> Event:
    """An empty vault was swept; `mend` says what is to be mended before it is used again, or "".

    Raises `WriteRefusedError` for a vault with goods in it.
    """
    upkeep = Upkeep.MEND if mend.strip() else Upkeep.READY
    payload = {"vault": vault.code, "mend": mend.strip()}
    return after_record(
        branch=vault.branch,
        kind=AfterKind.VAULT_SWEPT,
        payload=payload,
        told=told,
        effect=lambda: _upkeep(vault, upkeep, mend),
    )


def vault_mended(*, vault: Vault, told: Told) -> Event:
    """A vault was mended and can be used again."""
    return after_record(
        branch=vault.branch,
        kind=AfterKind.VAULT_MENDED,
        payload={"vault": vault.code},
        told=told,
        effect=lambda: _upkeep(vault, Upkeep.READY),
    )


def vault_stowed(*, vault: Vault, lane: Lane, told: Told) -> Event:
    """A vault was brought into a lane, onto its front stack. Raises `PlaceRefusedError`."""

    def stowed() -> Was:
        vault.refresh_from_db()
        former = vault.lane.name if vault.lane else None
        was = {"lane": former, "depth": vault.depth, "level": vault.level}
        vault_stow(vault=vault, lane=lane)
        return was

    payload = {"vault": vault.code, "lane": lane.name}
    return after_record(
        branch=vault.branch,
        kind=AfterKind.VAULT_STOWED,
        payload=payload,
        told=told,
        effect=stowed,
    )


def piece_put(*, item: Item, place: str, told: Told) -> Event:
    """A piece that stays in storage was put at a place. Raises `WriteRefusedError`."""

    def put() -> Was:
        item.refresh_from_db()
        was = {
            "vault": item.vault.code if item.vault else None,
            "position": item.vault_position,
            "place": item.loose_place.name if item.loose_place else None,
        }
        item_put(item=item, place=place)
        return was

    payload = {"item": item.pk, "tag": item.tag or "", "place": place.strip()}
    return after_record(
        branch=item.shipment.branch,
        kind=AfterKind.PIECE_PUT,
        payload=payload,
        told=told,
        effect=put,
    )


def equipment_came_back(
    *, load: Load, equipment: Equipment, home: int, wash: int, lost: int, reason: str, told: Told
) -> Event:
    """So many of what went out with a load came home, went to the wash, or are lost for a reason.

    Raises `EquipmentRefused` where something lost has no reason, or nothing came back.
    """
    goods = Account(PlaceKind.JOB, load.reference)
    ways = ((PlaceKind.WAREHOUSE, home), (PlaceKind.WASH, wash), (PlaceKind.LOST, lost))

    def moved() -> Was:
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
        return {}

    payload = {"load": load.reference, "equipment": equipment.value}
    counts = {"home": home, "wash": wash, "lost": lost, "note": reason}
    return after_record(
        branch=load.branch,
        kind=AfterKind.EQUIPMENT_CAME_BACK,
        payload=payload | counts,
        told=told,
        effect=moved,
    )


@transaction.atomic
def after_record(
    *,
    branch: Branch,
    kind: AfterKind,
    payload: dict[str, Any],
    told: Told,
    effect: Callable[[], Was],
) -> Event:
    """Change storage and write the fact into the warehouse's stream; said twice it is one.

    `effect` makes the change and tells how it was before. Raises `UuidReusedError`.
    """
    stream = stream_locked(branch=branch, kind=Stream.Kind.WAREHOUSE, key=branch.code)
    if former := Event.objects.filter(uuid=told.uuid).first():
        said = {name: value for name, value in former.payload.items() if name != WAS}
        if (former.kind, said, former.stream_id) != (kind.value, payload, stream.pk):
            raise UuidReusedError(told.uuid)
        return former
    was = effect()
    event = Event.objects.create(
        stream=stream,
        sequence=number_take(stream),
        uuid=told.uuid,
        kind=kind.value,
        payload=payload | ({WAS: was} if was else {}),
        actor=told.by,
        happened_at=told.happened_at or told.now,
        recorded_at=told.now,
        outcome=Event.Outcome.RECORDED,
    )
    stream.save(update_fields=["last_sequence"])
    return event


def _upkeep(vault: Vault, upkeep: Upkeep, note: str = "") -> Was:
    vault.refresh_from_db()
    was = {"upkeep": vault.upkeep, "note": vault.upkeep_note}
    vault_upkeep_set(vault=vault, upkeep=upkeep, note=note)
    return was
