"""What events change outside the job: where vaults stand, which tag is on a piece, which truck.

An event is a fact and stays one even where storage knows better: what cannot be followed is
logged, and the warehouse counts its lane anew.
"""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Final

import structlog
from django.db import transaction

from inventory.errors import InventoryError
from inventory.models import Lane, Vault
from inventory.services import tag_replace, vault_place
from jobs.folding import State
from jobs.folding.conflicts import ALREADY
from jobs.folding.folding import TAG_IN_USE
from jobs.folding.kinds import EventKind
from jobs.models import Event, Job
from loading.errors import LoadingError
from loading.models import Truck
from loading.planner.plan import Step
from loading.planner.pulls import Yard, yard_of
from loading.planner.request import parse_request
from loading.selectors import load_labels, warehouse_yard
from loading.services.loads import load_truck_change

log = structlog.get_logger()

_VAULT_TRAVELS: Final = (
    EventKind.VAULT_PULLED,
    EventKind.VAULT_CLEARED,
    EventKind.VAULT_MOVED,
    EventKind.VAULT_STORED,
)
_CHANGES_NOTHING: Final = (ALREADY, TAG_IN_USE)


def event_follow(*, job: Job, event: Event, state: State, now: datetime) -> None:
    """Bring storage and load to what a newly recorded event says; once for each event.

    `state` is the job's after all events.
    """
    effect = _EFFECTS.get(EventKind(event.kind))
    if effect is None or event.conflict in _CHANGES_NOTHING:
        return
    try:
        with transaction.atomic():
            effect(job, event, state, now)
    except (InventoryError, LoadingError) as error:
        log.warning("event.not_followed", event=str(event.uuid), kind=event.kind, why=str(error))


def _vault_leaves(job: Job, event: Event, _state: State, _now: datetime) -> None:
    vault = _vault(job, event)
    if vault is not None and vault.lane_id is not None:
        vault_place(vault=vault, lane=None, depth=None, level=None)


def _vault_arrives(job: Job, event: Event, _state: State, _now: datetime) -> None:
    """To the top of the front stack of the lane, or the next stack, as the contract puts it."""
    vault, name = _vault(job, event), event.payload["lane"]
    if vault is None or not Lane.objects.filter(branch=job.branch_id, name=name).exists():
        return
    step = Step("move", vault=vault.code, lane=name)
    if vault.lane_id is None:
        step = Step("store", vault=vault.code, lane=name)
    _place(job, vault, warehouse_yard(branch=job.branch).after((step,)))


def _tag_follows(job: Job, event: Event, _state: State, now: datetime) -> None:
    named = {label: item for item, label in load_labels(load=job.load, left=True)}
    item = named.get(event.payload["tag"])
    if item is not None and item.current_tag is not None:
        tag_replace(item=item, number=event.payload["number"], event_uuid=event.uuid, now=now)


def _truck_follows(job: Job, event: Event, _state: State, _now: datetime) -> None:
    truck = Truck.objects.filter(pk=event.payload["truck"], branch=job.branch_id).first()
    if truck is not None:
        load_truck_change(load=job.load, truck=truck)


def _vault_goes_back(job: Job, event: Event, state: State, _now: datetime) -> None:
    """A report of a vault that is taken back: it stands where the other reports left it."""
    told = Event.objects.filter(uuid=event.payload["event"], kind__in=_VAULT_TRAVELS).first()
    vault = _vault(job, told) if told else None
    if vault is None or job.tasks_plan is None:
        return
    request = parse_request(job.tasks_plan.request_document)
    steps = [
        Step(do, vault=code, lane=lane[0] if lane else None)
        for do, code, *lane in state["steps"]
        if do in ("move", "pull", "store")
    ]
    _place(job, vault, yard_of(request).after(steps))


def _place(job: Job, vault: Vault, yard: Yard) -> None:
    stands = yard.lane_of(vault.code)
    lane = Lane.objects.filter(branch=job.branch_id, name=stands.name).first() if stands else None
    if stands is None or lane is None:
        vault_place(vault=vault, lane=None, depth=None, level=None)
        return
    slot = next(one.slot for one in stands.vaults if one.code == vault.code)
    depth, level = stands.cell_of(slot)
    vault_place(vault=vault, lane=lane, depth=depth, level=level)


def _vault(job: Job, event: Event) -> Vault | None:
    return Vault.objects.filter(branch=job.branch_id, code=event.payload["vault"]).first()


_EFFECTS: Final[Mapping[EventKind, Callable[[Job, Event, State, datetime], None]]] = {
    EventKind.VAULT_PULLED: _vault_leaves,
    EventKind.VAULT_CLEARED: _vault_leaves,
    EventKind.VAULT_MOVED: _vault_arrives,
    EventKind.VAULT_STORED: _vault_arrives,
    EventKind.PIECE_RETAGGED: _tag_follows,
    EventKind.TRUCK_CHANGED: _truck_follows,
    EventKind.UNDONE: _vault_goes_back,
}
