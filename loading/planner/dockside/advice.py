"""Whether a bigger floor, another vault spot or a second door would pay, and how much.

The time that each would save follows from the plan as it stands. What each would do for the load
itself takes another search, so `dock_trials` is given one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from loading.planner.dockside.pace import Pace, takes_s
from loading.planner.plan import LoadPlan
from loading.planner.request import Dock, LoadRequest

MORE_FLOOR_MM2 = 5_000_000
FLOOR, SPOT, DOOR = "floor", "spot", "door"
CHANCE = 0.03  # of the length: two searches with other dice often differ by that much


@dataclass(frozen=True, slots=True)
class TimeSaved:
    """`change` is floor, spot or door; `seconds` is how much earlier the plan's last step ends."""

    change: str
    seconds: int


@dataclass(frozen=True, slots=True)
class DockTrial:
    """A plan for a larger dock against the plan for this one; more is better in every figure."""

    change: str
    dock: Dock
    shorter_mm: int
    more_loaded: int
    fewer_moves: int

    @property
    def pays(self) -> bool:
        """In the order in which plans are judged: pieces, then length, then moves."""
        return (self.more_loaded, self.shorter_mm, self.fewer_moves) > (0, 0, 0)


def time_saved(
    request: LoadRequest,
    plan: LoadPlan,
    pace: Pace | None = None,
    *,
    more_floor_mm2: int = MORE_FLOOR_MM2,
) -> tuple[TimeSaved, ...]:
    """What each change would save with the same plan, the most first; what saves nothing is out."""
    pace = pace or Pace()
    now_s = takes_s(request, plan, pace)
    docks = _larger(request.dock, more_floor_mm2)
    then_s = {change: takes_s(request, plan, pace, dock) for change, dock in docks}
    then_s[DOOR] = takes_s(request, plan, replace(pace, doors=pace.doors + 1))
    saved = (TimeSaved(change, now_s - end_s) for change, end_s in then_s.items() if end_s < now_s)
    return tuple(sorted(saved, key=lambda one: (-one.seconds, one.change)))


def dock_trials(
    request: LoadRequest,
    plan: LoadPlan,
    planned: Callable[[LoadRequest], LoadPlan],
    *,
    more_floor_mm2: int = MORE_FLOOR_MM2,
) -> tuple[DockTrial, ...]:
    """Plan for more floor and for another spot; `planned` should have the budget `plan` had.

    A search that finds no better load there than here could use the plan for the smaller dock, so
    nothing is ever reported as a loss; nor is a difference as a gain that chance alone may make.
    """
    trials = []
    for change, dock in _larger(request.dock, more_floor_mm2):
        other = planned(replace(request, dock=dock))
        trial = DockTrial(
            change=change,
            dock=dock,
            shorter_mm=_clearly_shorter(_figure(plan, "length_mm"), _figure(other, "length_mm")),
            more_loaded=len(other.placements) - len(plan.placements),
            fewer_moves=_figure(plan, "moves") - _figure(other, "moves"),
        )
        trials.append(trial if trial.pays else DockTrial(change, dock, 0, 0, 0))
    return tuple(trials)


def _clearly_shorter(now_mm: int, then_mm: int) -> int:
    """Negative for a longer load; none where it is shorter by what chance may make."""
    shorter_mm = now_mm - then_mm
    return 0 if 0 < shorter_mm < CHANCE * now_mm else shorter_mm


def _larger(dock: Dock, more_floor_mm2: int) -> tuple[tuple[str, Dock], ...]:
    return (
        (FLOOR, replace(dock, floor_mm2=dock.floor_mm2 + more_floor_mm2)),
        (SPOT, replace(dock, vault_spots=dock.vault_spots + 1)),
    )


def _figure(plan: LoadPlan, name: str) -> int:
    value = plan.figures.get(name)
    return value if isinstance(value, int) else 0
