"""General-purpose packing libraries of the registry on container-loading instances.

Each is given about the same processor time as ours and none can be asked for full support. What
they return is judged like ours; here it is only brought into the same form.
"""

from __future__ import annotations

import random
import time
from collections.abc import Sequence

import packingsolver3d
import py3dbp
from packingsolver3d import box as packingsolver_box

from loading.planner.packing.problem import BoxType, Instance

Rows = list[list[int]]  # type index, x, y, z, dx, dy, dz

PROBE_S = 0.3
MOST_STRETCH = 8.0


class _Turned(py3dbp.Item):  # type: ignore[misc]
    """An item that fits nowhere when an edge stands upright that may not, packed by its turn."""

    def __init__(self, kind: int, box: BoxType, turn: float) -> None:
        super().__init__(str(kind), *box.size, 0)
        self.upright = box.upright
        self.turn = turn

    def get_volume(self) -> float:
        """What the library sorts by before it packs."""
        return self.turn

    def get_dimension(self) -> list[float]:
        sizes = [self.width, self.height, self.depth]
        order = ((0, 1, 2), (1, 0, 2), (1, 2, 0), (2, 1, 0), (2, 0, 1), (0, 2, 1))
        turn = order[self.rotation_type]
        if not self.upright[turn[2]]:
            return [1_000_000] * 3
        return [sizes[k] for k in turn]


def placed_by_py3dbp(instance: Instance, seconds: float) -> Rows:
    """The library packs once, largest first; while time is left, again with volumes blurred."""
    began = time.thread_time()
    dice = random.Random(1)
    best = _packed_once(instance, [1.0] * len(instance.boxes))
    while time.thread_time() - began < seconds:
        blurred = [dice.uniform(1.0, 2.0) for _ in instance.boxes]
        best = max(best, _packed_once(instance, blurred), key=volume_of)
    return best


def _packed_once(instance: Instance, factors: Sequence[float]) -> Rows:
    packer = py3dbp.Packer()
    packer.add_bin(py3dbp.Bin("container", *instance.container, 1))
    for kind, (box, factor) in enumerate(zip(instance.boxes, factors, strict=True)):
        for _ in range(box.count):
            packer.add_item(_Turned(kind, box, box.volume * factor))
    packer.pack(bigger_first=True, number_of_decimals=0)
    return [
        [int(item.name), *map(int, item.position), *map(int, item.get_dimension())]
        for item in packer.bins[0].items
    ]


def placed_by_packingsolver(instance: Instance, seconds: float) -> Rows:
    """Its limit counts time on the wall, of which a busy machine gives it only a part."""
    limit_s = seconds * min(MOST_STRETCH, _wall_for_processor_time())
    found = packingsolver_box.solve(_as_knapsack(instance), time_limit=limit_s)
    return [[p.item_type_id, p.x, p.y, p.z, p.lx, p.ly, p.lz] for p in found.placements]


def _wall_for_processor_time() -> float:
    """Seconds on the wall that a second of the processor takes here and now, 1 when it is idle."""
    began_s, began_processor_s = time.perf_counter(), time.thread_time()
    while time.thread_time() - began_processor_s < PROBE_S:
        pass
    return (time.perf_counter() - began_s) / PROBE_S


def _as_knapsack(instance: Instance) -> packingsolver3d.Instance:
    length, width, height = instance.container
    return packingsolver3d.Instance(
        bin_types=[packingsolver3d.BinType(x=length, y=width, z=height)],
        item_types=[
            packingsolver3d.ItemType(
                x=box.size[0], y=box.size[1], z=box.size[2], copies=box.count, rotations=_turns(box)
            )
            for box in instance.boxes
            if box.count
        ],
        objective=packingsolver3d.Objective.KNAPSACK,
    )


def _turns(box: BoxType) -> tuple[packingsolver3d.Rotation, ...]:
    """A rotation's name tells which edge lies along x, y and z; the last one stands upright."""
    return tuple(
        turn for turn in packingsolver3d.Rotation if box.upright["XYZ".index(turn.value[2])]
    )


def volume_of(rows: Rows) -> int:
    return sum(dx * dy * dz for *_, dx, dy, dz in rows)
