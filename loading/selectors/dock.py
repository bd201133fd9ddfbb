"""The dock of a plan, and the lanes of a branch as they stand now."""

from dataclasses import dataclass

from inventory.models import Branch, Shipment
from loading.models import LoadPlan
from loading.planner.dockside import (
    PadSwap,
    Timeline,
    TimeSaved,
    Wait,
    pad_swap,
    time_saved,
    timeline,
)
from loading.planner.ordering import Shifts, shifts_of
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.pulls import StandingVault, Yard, YardLane
from loading.planner.request import LoadRequest
from loading.selectors.kept import Kept
from loading.selectors.plans import plan_of

LONGEST_SHOWN = 3


@dataclass(frozen=True, slots=True)
class LongWait:
    """A piece that waits on the floor; `wait` counts steps and seconds."""

    name: str
    wait: Wait

    @property
    def minutes(self) -> int:
        return round(self.wait.seconds / 60)


@dataclass(frozen=True, slots=True)
class Gain:
    """What a change of the dock would save with the same plan: `change` is floor, spot or door."""

    change: str
    minutes: int


@dataclass(frozen=True, slots=True)
class DockReport:
    """The dock's side of a plan: when it is fullest, what waits, pads, what would save time, and
    how many vaults are shifted for it."""

    timeline: Timeline
    pads: PadSwap
    longest: tuple[LongWait, ...]
    gains: tuple[Gain, ...]
    shifts: Shifts | None = None


_reports: "Kept[DockReport]" = Kept()


def dock_report(*, plan: LoadPlan) -> DockReport:
    """The dock of a stored plan."""
    return _reports.of(plan.run_id, lambda: dock_report_of(*plan_of(plan=plan)))


def dock_report_of(request: LoadRequest, planned: PlannedLoad) -> DockReport:
    over_time = timeline(request, planned)
    return DockReport(
        timeline=over_time,
        pads=pad_swap(request, planned),
        longest=tuple(
            LongWait(request.item(wait.what).name, wait)
            for wait in over_time.longest(LONGEST_SHOWN)
            if wait.seconds >= 60
        ),
        gains=tuple(_gain(saved) for saved in time_saved(request, planned) if saved.seconds >= 60),
        shifts=shifts_of(request, planned.steps),
    )


def _gain(saved: TimeSaved) -> Gain:
    return Gain(saved.change, round(saved.seconds / 60))


def warehouse_yard(*, branch: Branch, shipment: Shipment | None = None) -> Yard:
    """The branch's lanes as they stand now; `own` are the vaults of the shipment, if one is given.

    Two queries, however many lanes there are.
    """
    standing: dict[int, list[StandingVault]] = {}
    own: list[str] = []
    lanes = list(branch.lanes.order_by("name"))
    shape = {lane.pk: (lane.depth, lane.levels) for lane in lanes}
    for vault in branch.vaults.filter(lane__isnull=False).order_by("code"):
        if vault.lane_id is None or vault.depth is None or vault.level is None:
            continue
        depth, levels = shape[vault.lane_id]
        slot = (depth - vault.depth) * levels + vault.level
        standing.setdefault(vault.lane_id, []).append(StandingVault(vault.code, slot))
        if shipment is not None and vault.shipment_id == shipment.pk:
            own.append(vault.code)
    return Yard(
        lanes=tuple(
            YardLane(
                lane.name,
                lane.depth,
                lane.levels,
                tuple(sorted(standing.get(lane.pk, []), key=lambda vault: vault.slot)),
            )
            for lane in lanes
        ),
        own=tuple(own),
    )
