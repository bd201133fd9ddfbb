"""Judges a packing by the instance alone; shares no code with the search.

Every box must be of a known type and allowed orientation, no type may be used more often than there
are boxes, all lie within the container, no two overlap. With full support the whole base of every
box rests on the floor or on the tops of other boxes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from loading.planner.packing.problem import Instance

Row = Sequence[int]  # type index, x, y, z, dx, dy, dz


def broken_rules(instance: Instance, placements: Sequence[Row], *, full_support: bool) -> list[str]:
    """One line for each rule broken; empty when the packing is valid."""
    faults = [fault for row in placements for fault in _row_faults(instance, row)]
    if faults:
        return faults
    used = Counter(row[0] for row in placements)
    faults += [
        f"type {kind}: {count} boxes placed, {instance.boxes[kind].count} given"
        for kind, count in sorted(used.items())
        if count > instance.boxes[kind].count
    ]
    faults += _overlaps(placements)
    if full_support:
        faults += [
            f"box {index} rests on {rest} of its base of {row[4] * row[5]}"
            for index, row in enumerate(placements)
            if (rest := _supported_area(row, placements)) != row[4] * row[5]
        ]
    return faults


def _row_faults(instance: Instance, row: Row) -> list[str]:
    if len(row) != 7 or any(isinstance(v, bool) or not isinstance(v, int) for v in row):
        return [f"{list(row)}: seven whole numbers expected"]
    kind, x, y, z, dx, dy, dz = row
    if not 0 <= kind < len(instance.boxes):
        return [f"{list(row)}: there is no type {kind}"]
    faults = []
    if not _may_lie_so(instance, kind, (dx, dy, dz)):
        faults.append(f"{list(row)}: type {kind} may not lie so")
    length, width, height = instance.container
    if min(x, y, z) < 0 or x + dx > length or y + dy > width or z + dz > height:
        faults.append(f"{list(row)}: outside the container")
    return faults


def _may_lie_so(instance: Instance, kind: int, size: tuple[int, int, int]) -> bool:
    box = instance.boxes[kind]
    for vertical, allowed in enumerate(box.upright):
        flat = [box.size[k] for k in range(3) if k != vertical]
        if allowed and size[2] == box.size[vertical] and sorted(size[:2]) == sorted(flat):
            return True
    return False


def _common(low: int, high: int, other_low: int, other_high: int) -> int:
    return max(0, min(high, other_high) - max(low, other_low))


def _overlaps(placements: Sequence[Row]) -> list[str]:
    faults = []
    for first in range(len(placements)):
        _, x, y, z, dx, dy, dz = placements[first]
        for second in range(first):
            _, a, b, c, da, db, dc = placements[second]
            if (
                _common(x, x + dx, a, a + da)
                and _common(y, y + dy, b, b + db)
                and _common(z, z + dz, c, c + dc)
            ):
                faults.append(f"boxes {second} and {first} overlap")
    return faults


def _supported_area(row: Row, placements: Sequence[Row]) -> int:
    """Area of the base that touches the floor or a top; tops never overlap, so areas add up."""
    _, x, y, z, dx, dy, _ = row
    if z == 0:
        return dx * dy
    return sum(
        _common(x, x + dx, a, a + da) * _common(y, y + dy, b, b + db)
        for _, a, b, c, da, db, dc in placements
        if c + dc == z
    )
