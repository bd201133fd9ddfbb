"""All pictures of the warehouse's part of a plan: the lanes, each move, the dock over time."""

from dataclasses import dataclass

from loading.pictures.dock import dock_svg
from loading.pictures.lanes import lanes_svg, move_svg
from loading.planner.dockside import timeline
from loading.planner.plan import LoadPlan
from loading.planner.pulls import yard_of
from loading.planner.request import LoadRequest


@dataclass(frozen=True, slots=True)
class MovePicture:
    """The lanes before and after a vault is set aside (`move`) or put back (`store`)."""

    step: int
    do: str
    vault: str
    svg: str


@dataclass(frozen=True, slots=True)
class WarehousePictures:
    dock: str
    lanes: str
    moves: tuple[MovePicture, ...]


def warehouse_pictures(
    request: LoadRequest, plan: LoadPlan, *, units: str = "metric"
) -> WarehousePictures:
    """The lanes as the request has them, which the plan's first step finds."""
    yard = yard_of(request)
    lanes = lanes_svg(yard)
    moves: list[MovePicture] = []
    closings: list[tuple[int, int]] = []
    for number, step in enumerate(plan.steps, start=1):
        after = yard.after((step,))
        if step.do in ("move", "store") and step.vault is not None:
            svg = move_svg(yard, after, step.vault, picture=f"move-{number}")
            moves.append(MovePicture(number, step.do, step.vault, svg))
        if step.do == "close" and step.tier is not None:
            closings.append((number, step.tier))
        yard = after
    dock = dock_svg(timeline(request, plan), closings, units=units)
    return WarehousePictures(dock, lanes, tuple(moves))
