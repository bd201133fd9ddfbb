"""What equipment is where, and whether a load's truck has all of its own."""

from dataclasses import dataclass

from inventory.models import Branch, Shipment
from loading.errors import EquipmentUnexplained
from loading.ledger import (
    Account,
    Balances,
    Difference,
    Equipment,
    Movement,
    PlaceKind,
    balances,
    differences,
)
from loading.ledger.accounts import KEYED
from loading.ledger.balances import overdrawn
from loading.ledger.needs import pads_needed
from loading.models import EquipmentCount, EquipmentMovement, Load, Truck
from loading.selectors.plans import load_latest_plan, plan_of


def equipment_movements(*, branch_id: int) -> tuple[Movement, ...]:
    """All movements of a branch, in the form of the ledger."""
    rows = EquipmentMovement.objects.filter(branch_id=branch_id)
    return tuple(
        Movement(
            key=str(row.id),
            equipment=Equipment(row.equipment),
            source=Account(PlaceKind(row.source_kind), row.source_key),
            target=Account(PlaceKind(row.target_kind), row.target_key),
            count=row.count,
        )
        for row in rows
    )


def equipment_balances(*, branch_id: int) -> Balances:
    return balances(equipment_movements(branch_id=branch_id))


def load_counts(*, load: Load) -> dict[Equipment, int]:
    """What was counted last in the load's truck, by kind."""
    rows = EquipmentCount.objects.filter(load=load).order_by("counted_at", "id")
    return {Equipment(row.equipment): row.count for row in rows}


def load_differences(*, load: Load) -> tuple[Difference, ...]:
    """What is missing in the load's truck, or too much, and no movement explains."""
    return differences(
        equipment_balances(branch_id=load.branch_id),
        truck=load.truck.name,
        job=load.reference,
        counted=load_counts(load=load),
    )


def demand_equipment_explained(*, load: Load) -> None:
    """Raise `EquipmentUnexplained` while a counted truck differs from its ledger."""
    found = load_differences(load=load)
    if found:
        missing = {one.equipment.value: one.missing for one in found}
        raise EquipmentUnexplained(load.reference, missing)


@dataclass(frozen=True, slots=True)
class EquipmentLine:
    """One kind in a load's truck: on board, on the goods, counted last (None: not counted)."""

    equipment: Equipment
    on_board: int
    on_goods: int
    counted: int | None

    @property
    def missing(self) -> int:
        return 0 if self.counted is None else self.on_board + self.on_goods - self.counted

    @property
    def too_many(self) -> int:
        return max(0, -self.missing)


@dataclass(frozen=True, slots=True)
class LoadEquipment:
    """The equipment of a load's truck. `pads_needed` is of its latest plan, None without one.

    `pads_on_board` is what the ledger says, or the truck's record where the ledger knows nothing.
    """

    lines: tuple[EquipmentLine, ...]
    pads_on_board: int | None
    pads_wrapped: int | None
    pads_rolled: int | None
    pads_missing: int | None


def load_equipment(*, load: Load) -> LoadEquipment:
    """All kinds of a load's truck, and whether its pads will do."""
    found, counted = equipment_balances(branch_id=load.branch_id), load_counts(load=load)
    truck = Account(PlaceKind.TRUCK, load.truck.name)
    job = Account(PlaceKind.JOB, load.reference)
    lines = tuple(
        EquipmentLine(
            kind, found.get((truck, kind), 0), found.get((job, kind), 0), counted.get(kind)
        )
        for kind in Equipment
    )
    is_known = any(account == truck and kind is Equipment.PAD for account, kind in found)
    on_board = found.get((truck, Equipment.PAD), 0) if is_known else load.truck.pads
    plan = load_latest_plan(load=load)
    needed = pads_needed(*plan_of(plan=plan)) if plan else None
    return LoadEquipment(
        lines=lines,
        pads_on_board=on_board,
        pads_wrapped=needed.wrapped if needed else None,
        pads_rolled=needed.rolled if needed else None,
        pads_missing=needed.missing(on_board) if needed and on_board is not None else None,
    )


@dataclass(frozen=True, slots=True)
class LedgerLine:
    """One place and how many of each kind are there, in the order of `Equipment`."""

    account: Account
    counts: tuple[int, ...]
    is_overdrawn: bool

    @property
    def by_kind(self) -> tuple[tuple[Equipment, int], ...]:
        return tuple(zip(Equipment, self.counts, strict=True))


def equipment_ledger(*, branch_id: int) -> tuple[LedgerLine, ...]:
    """Every place of a branch that holds something, or from which too much was taken."""
    found = equipment_balances(branch_id=branch_id)
    wrong = {account for account, _ in overdrawn(found)}
    accounts = sorted({account for account, _ in found}, key=_in_the_order_of_the_day)
    return tuple(
        LedgerLine(
            account,
            tuple(found.get((account, kind), 0) for kind in Equipment),
            account in wrong,
        )
        for account in accounts
    )


def _in_the_order_of_the_day(account: Account) -> tuple[int, str]:
    return list(PlaceKind).index(account.kind), account.key


def equipment_places(*, branch: Branch) -> tuple[Account, ...]:
    """Every place of a branch that equipment can be moved from or to: trucks, shipments that are
    stored in vaults, and what the ledger knows."""
    shared = [Account(kind) for kind in PlaceKind if kind not in KEYED]
    trucks = Truck.objects.filter(branch=branch).values_list("name", flat=True)
    stored = Shipment.objects.filter(branch=branch, vaults__isnull=False).distinct()
    keyed = [Account(PlaceKind.TRUCK, name) for name in trucks]
    keyed += [
        Account(PlaceKind.STORAGE, reference)
        for reference in stored.values_list("reference", flat=True)
    ]
    known = {account for account, _ in equipment_balances(branch_id=branch.pk)}
    return tuple(sorted({*shared, *keyed, *known}, key=_in_the_order_of_the_day))
