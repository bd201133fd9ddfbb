"""What events change outside the job: where vaults stand, which tag is on a piece, which truck.

An event is a fact and stays one even where storage knows better: what cannot be followed is
logged, and the warehouse counts its lane anew.
"""

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from typing import Final

import structlog
from django.db import transaction

from inventory.errors import InventoryError, PlaceRefusedError
from inventory.models import Lane, Vault, VaultArrival
from inventory.services import (
    arrival_put_off,
    arrival_stow,
    arrival_take_back,
    tag_replace,
    vault_place,
)
from jobs.folding import State
from jobs.folding.conflicts import ALREADY
from jobs.folding.folding import TAG_IN_USE
from jobs.folding.kinds import EventKind
from jobs.models import Assignment, Event, Job, Task
from jobs.services.task_states import assignments_end
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
COMES_LATER_BY: Final = timedelta(minutes=30)
"""A vault that has not come when it was looked for is expected so much later (a guess of ours)."""
_CHANGES_NOTHING: Final = (ALREADY, TAG_IN_USE)


def event_follow(*, job: Job, event: Event, state: State, now: datetime) -> None:
    """Bring storage and load to what a newly recorded event says; once for each event.

    `state` is the job's after all events.
    """
    effect = _EFFECTS.get(EventKind(event.kind))
    if effect is None or event.conflict in _CHANGES_NOTHING:
        return
    if str(event.uuid) in state["undone"]:  # taken back before it arrived
        return
    try:
        with transaction.atomic():
            effect(job, event, state, now)
    except (InventoryError, LoadingError) as error:
        log.warning("event.not_followed", uuid=str(event.uuid), kind=event.kind, why=str(error))


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


def _vault_comes_in(job: Job, event: Event, _state: State, now: datetime) -> None:
    """A lane that cannot take it by the books: then it is there, and waits for a place."""
    arrival = _expected(job, event)
    if arrival is None:
        return
    lane = Lane.objects.filter(branch=job.branch_id, name=event.payload["lane"]).first()
    try:
        with transaction.atomic():
            arrival_stow(arrival=arrival, lane=lane, now=now)
    except PlaceRefusedError as error:
        log.warning("event.not_followed", uuid=str(event.uuid), kind=event.kind, why=str(error))
        arrival_stow(arrival=arrival, lane=None, now=now)


def _vault_comes_later(job: Job, event: Event, _state: State, now: datetime) -> None:
    arrival = _expected(job, event)
    if arrival is not None:
        arrival_put_off(arrival=arrival, until=event.happened_by_our_clock + COMES_LATER_BY)
    in_hand = job.tasks.filter(kind=Task.Kind.STOW, vault=event.payload["vault"])
    assignments_end(job=job, now=now, ending=Assignment.Ending.WITHDRAWN, tasks=list(in_hand))


def _expected(job: Job, event: Event) -> VaultArrival | None:
    expected = VaultArrival.objects.filter(vault__branch=job.branch_id, stowed_at=None)
    return expected.filter(vault__code=event.payload["vault"]).first()


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
    undone = Event.objects.filter(uuid=event.payload["event"])
    told = undone.filter(kind__in=_VAULT_TRAVELS).first()
    vault = _vault(job, told) if told else None
    stowed = undone.filter(kind=EventKind.VAULT_STOWED).first()
    if stowed is not None:
        _stowing_taken_back(job, stowed)
    if vault is None or job.tasks_plan is None:
        return
    request = parse_request(job.tasks_plan.request_document)
    steps = [
        Step(do, vault=code, lane=lane[0] if lane else None)
        for do, code, *lane in state["steps"]
        if do in ("move", "pull", "store")
    ]
    _place(job, vault, yard_of(request).after(steps))


def _stowing_taken_back(job: Job, told: Event) -> None:
    """The vault is expected again, unless somebody else said as well that it stands in a lane."""
    vault = _vault(job, told)
    came = vault.arrivals.exclude(stowed_at=None).order_by("stowed_at").last() if vault else None
    if vault is None or came is None:
        return
    since = Event.objects.filter(stream__branch=job.branch_id, recorded_at__gte=came.announced_at)
    said = since.filter(kind=EventKind.VAULT_STOWED, payload__vault=vault.code)
    uuids = {str(uuid) for uuid in said.values_list("uuid", flat=True)}
    undone = since.filter(kind=EventKind.UNDONE, payload__event__in=list(uuids))
    if uuids == set(undone.values_list("payload__event", flat=True)):
        arrival_take_back(vault=vault)


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
    EventKind.VAULT_STOWED: _vault_comes_in,
    EventKind.VAULT_NOT_COME: _vault_comes_later,
    EventKind.PIECE_RETAGGED: _tag_follows,
    EventKind.TRUCK_CHANGED: _truck_follows,
    EventKind.UNDONE: _vault_goes_back,
}
