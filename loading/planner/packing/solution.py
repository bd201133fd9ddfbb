"""From placed blocks back to boxes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loading.planner.packing.blocks import GRID, Blocks
from loading.planner.packing.problem import Instance, Size


class PlacedBox(NamedTuple):
    """A box of type `kind` (index into Instance.boxes) at (x, y, z), lying as (dx, dy, dz)."""

    kind: int
    x: int
    y: int
    z: int
    dx: int
    dy: int
    dz: int


@dataclass(frozen=True, slots=True)
class Solution:
    """Boxes in the instance's unit, in an order in which each stands on those before it.

    iterations: rollouts the search had done when it found this packing.
    """

    boxes: tuple[PlacedBox, ...]
    iterations: int = 0

    @property
    def volume(self) -> int:
        return sum(box.dx * box.dy * box.dz for box in self.boxes)

    def share(self, instance: Instance) -> float:
        """Share of the container's volume that is used, 0 to 1."""
        return self.volume / instance.volume


def unfold(instance: Instance, blocks: Blocks, placed: NDArray[np.int32]) -> tuple[PlacedBox, ...]:
    """The boxes of placed blocks from the bottom up. placed: (n, 8) as State.placed, but with
    rows of `blocks`; mirrored blocks are mirrored box by box.
    """
    unit = instance.unit()
    turns = [box.orientations() for box in instance.boxes]
    boxes: list[PlacedBox] = []
    for *bounds, row, mirror in placed.tolist():
        for kind, turn, corner in _boxes_within(instance, blocks, row, (0, 0, 0)):
            size = turns[kind][turn]
            at = [
                (bounds[k + 3] - corner[k]) * unit - size[k]
                if mirror >> k & 1
                else (bounds[k] + corner[k]) * unit
                for k in range(3)
            ]
            boxes.append(PlacedBox(kind, at[0], at[1], at[2], *size))
    return tuple(sorted(boxes, key=lambda box: (box.z, box.x, box.y)))


def _boxes_within(
    instance: Instance, blocks: Blocks, row: int, corner: Size
) -> Iterator[tuple[int, int, Size]]:
    """(type, orientation, corner) of every box of a block whose corner lies at `corner`."""
    form, one, two, *grid = (int(value) for value in blocks.build[row])
    if form == GRID:
        unit = instance.unit()
        step = [edge // unit for edge in instance.boxes[one].orientations()[two]]
        for i in range(grid[0]):
            for j in range(grid[1]):
                for k in range(grid[2]):
                    x, y, z = (c + n * s for c, n, s in zip(corner, (i, j, k), step, strict=True))
                    yield one, two, (x, y, z)
        return
    yield from _boxes_within(instance, blocks, one, corner)
    beside = list(corner)
    beside[form] += int(blocks.edge[one, form])
    yield from _boxes_within(instance, blocks, two, (beside[0], beside[1], beside[2]))
