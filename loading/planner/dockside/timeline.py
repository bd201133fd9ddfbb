"""The dock over the steps of a plan: how full floor and spots are, the peak, what waits longest."""

from __future__ import annotations

from dataclasses import dataclass

from loading.planner.dockside.floor import OFF_FLOOR, OFF_SPOT, DockFloor, numbered
from loading.planner.dockside.pace import Pace, Span, spans
from loading.planner.plan import LoadPlan, Step
from loading.planner.request import LoadRequest


@dataclass(frozen=True, slots=True)
class Moment:
    """The dock once a step is done; steps count from 1, 0 is before the first."""

    step: int
    floor_mm2: int
    pieces: int
    vaults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wait:
    """A piece on the floor or a vault on its spot: from which step to which, and for how long.

    `left` is None for what is still there when the plan ends; `seconds` then counts to the end.
    """

    what: str
    is_vault: bool
    came: int
    left: int | None
    floor_mm2: int
    seconds: int


@dataclass(frozen=True, slots=True)
class Timeline:
    """`moments[n]` is the dock after n steps; `waits` holds pieces and vaults, longest first."""

    moments: tuple[Moment, ...]
    waits: tuple[Wait, ...]
    floor_mm2: int
    vault_spots: int
    takes_s: int

    @property
    def peak(self) -> Moment:
        """The first moment at which the floor is fullest."""
        return max(self.moments, key=lambda moment: (moment.floor_mm2, -moment.step))

    @property
    def spots_peak(self) -> int:
        return max(len(moment.vaults) for moment in self.moments)

    def longest(self, most: int, *, vaults: bool = False) -> tuple[Wait, ...]:
        """The pieces (or vaults) that wait longest."""
        return tuple(wait for wait in self.waits if wait.is_vault == vaults)[:most]


def timeline(request: LoadRequest, plan: LoadPlan, pace: Pace | None = None) -> Timeline:
    """The dock's timeline, computed from a request and its plan alone."""
    times = spans(request, plan, pace or Pace())
    floor = DockFloor(request)
    moments = [_moment(0, floor)]
    waits: list[Wait] = []
    for number, step in numbered(plan.steps):
        waits += _ended(floor, number, step, times)
        floor.do(number, step)
        moments.append(_moment(number, floor))
    end_s = max((span.ends_s for span in times), default=0)
    for tag, came in floor.pieces.items():
        waited = end_s - times[came - 1].ends_s
        waits.append(Wait(tag, False, came, None, floor.area_mm2_of(tag), waited))
    for code, came in floor.vaults.items():
        waits.append(Wait(code, True, came, None, 0, end_s - times[came - 1].ends_s))
    return Timeline(
        moments=tuple(moments),
        waits=tuple(sorted(waits, key=lambda wait: (-wait.seconds, wait.came, wait.what))),
        floor_mm2=request.dock.floor_mm2,
        vault_spots=request.dock.vault_spots,
        takes_s=end_s,
    )


def _moment(number: int, floor: DockFloor) -> Moment:
    return Moment(number, floor.area_mm2, len(floor.pieces), tuple(floor.vaults))


def _ended(floor: DockFloor, number: int, step: Step, times: tuple[Span, ...]) -> list[Wait]:
    """The wait that a step ends, if it takes something off the dock."""
    if step.tag is not None and step.do in OFF_FLOOR and step.tag in floor.pieces:
        came, what, is_vault = floor.pieces[step.tag], step.tag, False
    elif step.vault is not None and step.do in OFF_SPOT and step.vault in floor.vaults:
        came, what, is_vault = floor.vaults[step.vault], step.vault, True
    else:
        return []
    waited = max(0, times[number - 1].begins_s - times[came - 1].ends_s)
    area = 0 if is_vault else floor.area_mm2_of(what)
    return [Wait(what, is_vault, came, number, area, waited)]
