"""What is left to do in a warehouse when trucks have gone, read off where things stand."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from inventory.models import DOCK_FLOOR, Branch, Item, Upkeep, Vault
from inventory.selectors import vaults_to_stow
from jobs.folding.after import AfterKind
from jobs.models import Event, Job, Stream
from loading.ledger import Equipment, PlaceKind
from loading.models import Load
from loading.selectors.equipment import equipment_balances

DONE_LATELY = 20


@dataclass(frozen=True, slots=True)
class OnGoods:
    """Equipment that went out with a load whose job is closed, and has not come back."""

    load: Load
    equipment: Equipment
    count: int


@dataclass(frozen=True, slots=True)
class Done:
    """Something that was said to be done, and whether it was, or still can be, taken back."""

    event: Event
    taken_back: bool
    may_be_taken_back: bool


@dataclass(frozen=True, slots=True)
class Afterwards:
    """`stow` are vaults in no lane, empty ones that are ready and those that goods went back into;
    `put` are pieces that stand on the dock floor though no job is at work on them."""

    branch: Branch
    sweep: Sequence[Vault]
    mend: Sequence[Vault]
    stow: Sequence[Vault]
    put: Sequence[Item]
    equipment: Sequence[OnGoods]
    done: Sequence[Done]

    @property
    def count(self) -> int:
        return sum(map(len, (self.sweep, self.mend, self.stow, self.put, self.equipment)))


def branch_afterwards(*, branch: Branch) -> Afterwards:
    """The work that is left in a branch, and what was done of it lately."""
    vaults = Vault.objects.filter(branch=branch).select_related("lane", "shipment")
    return Afterwards(
        branch=branch,
        sweep=list(vaults.filter(upkeep=Upkeep.SWEEP)),
        mend=list(vaults.filter(upkeep=Upkeep.MEND)),
        stow=[*vaults_to_stow(branch=branch), *_came_back(branch)],
        put=_on_the_floor(branch),
        equipment=_on_goods(branch),
        done=_done(branch),
    )


def _at_work(branch: Branch) -> list[int]:
    """The shipments of which something is on the dock now."""
    jobs = Job.objects.filter(branch=branch, status__in=Job.AT_WORK)
    aboard = (release for job in jobs.select_related("load") for release in job.load.releases())
    return sorted({release.shipment_id for release in aboard})


def _came_back(branch: Branch) -> list[Vault]:
    """Vaults with goods that stand in no lane and are on no job's dock."""
    standing = Vault.objects.filter(branch=branch, lane__isnull=True, items__isnull=False)
    closed = Job.objects.filter(branch=branch, status=Job.Status.CLOSED)
    was_out = closed.values("load__release__shipment")
    found = standing.filter(shipment__in=was_out).exclude(shipment__in=_at_work(branch))
    return list(found.select_related("shipment").distinct())


def _on_the_floor(branch: Branch) -> list[Item]:
    items = Item.objects.filter(shipment__branch=branch, loose_place__name=DOCK_FLOOR)
    return list(items.select_related("shipment", "loose_place").prefetch_related("tags"))


def _on_goods(branch: Branch) -> list[OnGoods]:
    closed = Load.objects.filter(branch=branch, job__status=Job.Status.CLOSED)
    loads = {load.reference: load for load in closed}
    found = [
        OnGoods(loads[account.key], equipment, count)
        for (account, equipment), count in equipment_balances(branch_id=branch.pk).items()
        if account.kind is PlaceKind.JOB and account.key in loads and count > 0
    ]
    return sorted(found, key=lambda one: (one.load.reference, one.equipment))


def after_events(*, branch: Branch) -> QuerySet[Event]:
    """All that was ever said here of vaults, leftovers and equipment after a load."""
    kinds = [kind.value for kind in AfterKind]
    said = Event.objects.filter(
        stream__branch=branch, stream__kind=Stream.Kind.WAREHOUSE, kind__in=kinds
    )
    return said.select_related("actor").order_by("sequence")


def after_subject(event: Event) -> dict[str, Any]:
    """What an event is about, as its payload names it: a vault, a piece, a load's equipment."""
    names = ("vault", "item", "load", "equipment")
    return {f"payload__{name}": event.payload[name] for name in names if name in event.payload}


def after_standing(*, branch: Branch, subject: Mapping[str, Any]) -> list[Event]:
    """What was said of a subject (`after_subject`) and was not taken back, the last at the end."""
    back = taken_back(branch=branch)
    said = after_events(branch=branch).filter(**subject)
    return [event for event in said if str(event.uuid) not in back]


def taken_back(*, branch: Branch) -> frozenset[str]:
    """The UUIDs of what was taken back."""
    undoing = after_events(branch=branch).filter(kind=AfterKind.TAKEN_BACK)
    return frozenset(undoing.values_list("payload__event", flat=True))


def _done(branch: Branch) -> list[Done]:
    """The newest first. Of one vault or piece the newest that stands can be taken back."""
    back = taken_back(branch=branch)
    lately = after_events(branch=branch).exclude(kind=AfterKind.TAKEN_BACK)
    found: list[Done] = []
    newest: set[str] = set()
    for event in lately.order_by("-sequence")[:DONE_LATELY]:
        is_back = str(event.uuid) in back
        about = json.dumps(after_subject(event), sort_keys=True)
        is_newest = about not in newest or event.kind == AfterKind.EQUIPMENT_CAME_BACK
        found.append(Done(event, is_back, not is_back and is_newest))
        if not is_back:
            newest.add(about)
    return found
