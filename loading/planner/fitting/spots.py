"""Where in a gap a piece comes to stand: pushed in to a side or an edge and let down.

For all sizes at once: most pieces find nothing under them and need not be judged further.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loading.planner.fitting.gaps import Gap
from loading.planner.fitting.standing import GAP_UNDER_MM, TOLERANCE_MM, Standing
from loading.planner.plan import Size

WHOLE = 1000
# So much of a bottom must be held, in thousandths (contract R4).
HELD = 800
SPOTS_MOST = 4

Longs = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a piece would stand, and how much of its bottom tops may hold up, in thousandths."""

    at_mm: Size
    held: int


def spots_of(
    standing: Standing, gap: Gap, sizes_mm: Iterable[Size]
) -> Mapping[Size, tuple[Spot, ...]]:
    """For each size the spots in the gap where tops may hold up enough of it: where most of its
    bottom is held comes first, then what is further left.

    No spots in a gap without a place. In an opening the one spot is its own corner.
    """
    sizes = sorted(set(sizes_mm))
    if gap.at_mm is None or not sizes:
        return dict.fromkeys(sizes, ())
    if gap.inside is not None:
        return dict.fromkeys(sizes, (Spot(gap.at_mm, WHOLE),))
    rows = [(size, y) for size in sizes for y in _sides_mm(standing, gap, size[1])]
    size = np.array([size for size, _ in rows], np.int64)
    at = np.array([(gap.at_mm[0], y, gap.at_mm[2]) for _, y in rows], np.int64)
    low, high = _near(standing, gap)
    at[:, 0] = _slid(low, high, at, size)
    at[:, 2] = _settled(low, high, at, size)
    at[:, 0] = _slid(low, high, at, size)
    held = _held(low, high, at, size)
    found: dict[Size, list[Spot]] = {size: [] for size in sizes}
    for (known, _), (x, y, z), share in zip(rows, at.tolist(), held.tolist(), strict=True):
        if share >= HELD:
            found[known].append(Spot((x, y, z), share))
    return {
        size: tuple(sorted(spots, key=lambda s: (-s.held, s.at_mm))[:SPOTS_MOST])
        for size, spots in found.items()
    }


def slid_mm(standing: Standing, y_mm: int, z_mm: int, size_mm: Size) -> int:
    """How near the nose a piece comes that is pushed straight in from the doors."""
    at, size = np.array([(0, y_mm, z_mm)], np.int64), np.array([size_mm], np.int64)
    return int(_slid(standing.low, standing.high, at, size)[0])


def _near(standing: Standing, gap: Gap) -> tuple[Longs, Longs]:
    """The boxes that a piece in the gap can touch."""
    assert gap.at_mm is not None
    right = gap.at_mm[1] + gap.size_mm[1]
    beside = (standing.high[:, 1] > gap.at_mm[1]) & (standing.low[:, 1] < right)
    near = beside & (standing.low[:, 2] < gap.at_mm[2] + gap.size_mm[2])
    return standing.low[near], standing.high[near]


def _sides_mm(standing: Standing, gap: Gap, across: int) -> list[int]:
    """Flush with a side of the gap, or with an edge of what one would stand on."""
    assert gap.at_mm is not None
    (x, left, z), (depth, width, _) = gap.at_mm, gap.size_mm
    right = left + width - across
    found = {left, right}
    for box in standing.boxes:
        if abs(box.end[2] - z) <= 1 and min(box.end[0], x + depth) - max(box.at[0], x) > 1:
            found |= {box.at[1], box.end[1] - across}
    return sorted(y for y in found if left <= y <= right)


def _shared(low: Longs, high: Longs, at: Longs, size: Longs, axis: int) -> Longs:
    """[piece, box]: how many mm they share along an axis."""
    end = at[:, axis] + size[:, axis]
    shared: Longs = np.minimum(high[None, :, axis], end[:, None]) - np.maximum(
        low[None, :, axis], at[:, axis, None]
    )
    return shared


def _slid(low: Longs, high: Longs, at: Longs, size: Longs) -> Longs:
    """For each piece the end nearest the doors of all that it meets on its way in."""
    meets = (_shared(low, high, at, size, 1) > TOLERANCE_MM) & (
        _shared(low, high, at, size, 2) > TOLERANCE_MM
    )
    ends: Longs = np.where(meets, high[None, :, 0], 0).max(axis=1, initial=0)
    return ends


def _settled(low: Longs, high: Longs, at: Longs, size: Longs) -> Longs:
    """For each piece the highest top under it, the deck if there is none."""
    over = (_shared(low, high, at, size, 0) > TOLERANCE_MM) & (
        _shared(low, high, at, size, 1) > TOLERANCE_MM
    )
    below = high[None, :, 2] <= at[:, 2, None] + TOLERANCE_MM
    tops: Longs = np.where(over & below, high[None, :, 2], 0).max(axis=1, initial=0)
    return tops


def _held(low: Longs, high: Longs, at: Longs, size: Longs) -> Longs:
    """How much of each bottom has tops under it, in thousandths; all of it on the deck."""
    gap = at[:, 2, None] - high[None, :, 2]
    along = _shared(low, high, at, size, 0).clip(0)
    across = _shared(low, high, at, size, 1).clip(0)
    touching = (gap >= -TOLERANCE_MM) & (gap <= GAP_UNDER_MM)
    area = np.where(touching, along * across, 0).sum(axis=1)
    share = np.minimum(WHOLE, -(-WHOLE * area // (size[:, 0] * size[:, 1])))
    held: Longs = np.where(at[:, 2] <= TOLERANCE_MM, WHOLE, share)
    return held
