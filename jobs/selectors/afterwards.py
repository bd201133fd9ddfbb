"""What is left to do in a warehouse when trucks have gone, read off where things stand."""

from collections.abc import Sequence
from dataclasses import dataclass

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
class Afterwards:
    """`stow` are vaults in no lane, empty ones that are ready and those that goods went back into;
    `put` are pieces that stand on the dock floor though no job is at work on them."""

    sweep: Sequence[Vault]
    mend: Sequence[Vault]
    stow: Sequence[Vault]
    put: Sequence[Item]
    equipment: Sequence[OnGoods]
    done: Sequence[Event]

    @property
    def count(self) -> int:
        return sum(map(len, (self.sweep, self.mend, self.stow, self.put, self.equipment)))


def branch_afterwards(*, branch: Branch) -> Afterwards:
    """The work that is left in a branch, and what was done of it lately."""
    vaults = Vault.objects.filter(branch=branch).select_related("lane", "shipment")
    return Afterwards(
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


def _done(branch: Branch) -> list[Event]:
    kinds = [kind.value for kind in AfterKind]
    done = Event.objects.filter(
        stream__branch=branch, stream__kind=Stream.Kind.WAREHOUSE, kind__in=kinds
    )
    return list(done.select_related("actor").order_by("-sequence")[:DONE_LATELY])
