"""Gaps on the face of the load: the free box about a point, beside a piece, in an opening."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from loading.planner.fitting.standing import TOLERANCE_MM, Box, Standing
from loading.planner.plan import Size

DEPTH_MAX_MM = 2500
# A gap less deep than this is no pocket: the point lies on the front of the tier itself.
POCKET_MM = 60
# So much may a gap that somebody measured differ from one on the face to be that one.
LIKE_MM = 60
SIDES = ("left", "right", "above", "before", "inside")


@dataclass(frozen=True, slots=True)
class Gap:
    """A free box: `size_mm` is depth, width, height; a piece may reach `reach_mm` toward the doors.

    `reach_mm` is more than the depth where only the tier's greatest depth ends it. The way from
    the doors is free for the whole of the gap. `at_mm` is None for a gap that was only measured:
    nothing is known of what is about it.
    """

    tier: int
    size_mm: Size
    at_mm: Size | None
    reach_mm: int
    inside: str | None = None


def gap_measured(standing: Standing, size_mm: Size) -> Gap:
    """A gap of that size (depth, width, height): the one like it on the face, or just the size."""
    depth, width, height = size_mm
    best: tuple[int, Gap] | None = None
    for gap in gaps_on_face(standing):
        off = max(abs(gap.size_mm[1] - width), abs(gap.size_mm[2] - height))
        if off <= LIKE_MM and (best is None or off < best[0]):
            best = off, gap
    if best is None:
        return Gap(standing.tier, size_mm, None, depth)
    return gap_within(best[1], size_mm)


def gap_within(gap: Gap, size_mm: Size) -> Gap:
    """The gap as a tape tells it, no larger than what stands there leaves free."""
    depth, width, height = (
        min(told, known)
        for told, known in zip(size_mm, (gap.reach_mm, *gap.size_mm[1:]), strict=True)
    )
    return Gap(gap.tier, (depth, width, height), gap.at_mm, depth, gap.inside)


def gap_at(standing: Standing, y_mm: int, z_mm: int, tier: int | None = None) -> Gap | None:
    """The free box about a point of the face as one sees it from the doors.

    Its nose side is the first thing that one sees through the point; it is as wide as it can be
    at the height of the point, then as high as that width allows. None outside the truck or where
    no room is left before the doors.
    """
    length, width, height = standing.request.truck.interior_mm
    if not (0 <= y_mm < width and 0 <= z_mm < height):
        return None
    number = standing.tier if tier is None else tier
    x0 = max((b.end[0] for b in standing.boxes if _spans(b, y_mm, z_mm)), default=0)
    near = [b for b in standing.boxes if b.end[0] > x0 + TOLERANCE_MM]
    row = [b for b in near if b.at[2] <= z_mm < b.end[2]]
    y0 = max((b.end[1] for b in row if b.end[1] <= y_mm), default=0)
    y1 = min((b.at[1] for b in row if b.at[1] > y_mm), default=width)
    column = [b for b in near if b.at[1] < y1 - TOLERANCE_MM and b.end[1] > y0 + TOLERANCE_MM]
    z0 = max((b.end[2] for b in column if b.end[2] <= z_mm), default=0)
    z1 = min((b.at[2] for b in column if b.at[2] > z_mm), default=height)
    reach = min(length, _tier_end_mm(standing, number, x0)) - x0
    if reach <= 0:
        return None
    front = standing.front_mm(number) - x0
    depth = min(front if front >= POCKET_MM else reach, reach)
    return Gap(number, (depth, y1 - y0, z1 - z0), (x0, y0, z0), reach)


def gap_beside(standing: Standing, tag: str, side: str) -> Gap | None:
    """The gap to the left or right of a piece, above or before it, or its largest opening.

    None where there is none, or no such piece or side.
    """
    if tag not in standing.index or side not in SIDES:
        return None
    box = standing.boxes[standing.index[tag]]
    if side == "inside":
        return _opening(standing, box)
    (_, y0, z0), (_, y1, z1) = box.at, box.end
    middle_y, middle_z = (y0 + y1) // 2, (z0 + z1) // 2
    y, z = {
        "left": (y0 - 1, middle_z),
        "right": (y1, middle_z),
        "above": (middle_y, z1),
        "before": (middle_y, middle_z),
    }[side]
    tier = box.tier if side != "before" else None
    return gap_at(standing, y, z, tier)


def gaps_on_face(standing: Standing) -> Iterator[Gap]:
    """The gaps at the corners of what is in the tier that is being built, each once."""
    seen: set[Gap] = set()
    for box in standing.tier_boxes(standing.tier):
        (_, y0, z0), (_, y1, z1) = box.at, box.end
        for y, z in ((y0 - 1, z0), (y1, z0), (y0, z1), (y1 - 1, z1), (y0 - 1, z1), (y1, z1)):
            gap = gap_at(standing, y, z)
            if gap is not None and gap not in seen:
                seen.add(gap)
                yield gap


def _spans(box: Box, y_mm: int, z_mm: int) -> bool:
    return box.at[1] <= y_mm < box.end[1] and box.at[2] <= z_mm < box.end[2]


def _tier_end_mm(standing: Standing, tier: int, x0: int) -> int:
    """How far toward the doors a piece of the tier may reach (contract R9)."""
    rear = min((box.at[0] for box in standing.tier_boxes(tier)), default=x0)
    return min(rear, x0) + DEPTH_MAX_MM


def _opening(standing: Standing, box: Box) -> Gap | None:
    spaces = standing.openings(box.name)
    if not spaces or box.inside is not None:
        return None
    sizes = [(tuple(high[a] - low[a] for a in range(3)), low) for low, high in spaces]
    (depth, width, height), low = max(sizes, key=lambda s: (s[0][0] * s[0][1] * s[0][2], s[1]))
    return Gap(box.tier, (depth, width, height), low, depth, box.name)
