"""The ways in which a piece may ride, and how far it can move where it stands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loading.planner.checker.areas import Rectangle, covered_mm2
from loading.planner.fitting.standing import TOLERANCE_MM, Box, Standing
from loading.planner.plan import Size
from loading.planner.request import Item, LoadRequest

# What a body meets counts once it covers this much of the face turned to it (contract R14).
FACE_PERCENT = 10
STRUT_MM = 300


@dataclass(frozen=True, slots=True)
class Turn:
    """A posture with the size as loaded: along the truck, across it, up."""

    posture: str
    size_mm: Size


@dataclass(frozen=True, slots=True)
class Play:
    """How far a piece can move from where it stands until something stops it, in mm."""

    left_mm: int
    right_mm: int
    nose_mm: int
    above_mm: int


def turns_of(request: LoadRequest, item: Item, postures: tuple[str, ...] = ()) -> tuple[Turn, ...]:
    """Each allowed posture both ways round, as far as it passes the door so (contract R2)."""
    length, width, height = request.as_loaded_mm(item)
    sides = {
        "standing": (length, width, height),
        "on_side": (length, height, width),
        "on_end": (width, height, length),
    }
    door_width, door_height = request.truck.door_mm
    found: list[Turn] = []
    for posture in postures or item.postures:
        one, other, up = sides[posture]
        if up > door_height or min(one, other) > door_width:
            continue
        found.append(Turn(posture, (one, other, up)))
        if one != other:
            found.append(Turn(posture, (other, one, up)))
    return tuple(found)


def play_of(standing: Standing, box: Box) -> Play:
    """The play of a piece among all that stands; in an opening, within that opening."""
    height = standing.request.truck.interior_mm[2]
    if box.inside is not None and box.inside in standing.index:
        for low, high in standing.openings(box.inside):
            if all(low[a] - 1 <= box.at[a] and box.end[a] <= high[a] + 1 for a in range(3)):
                return Play(
                    left_mm=max(0, box.at[1] - low[1]),
                    right_mm=max(0, high[1] - box.end[1]),
                    nose_mm=max(0, box.at[0] - low[0]),
                    above_mm=max(0, high[2] - box.end[2]),
                )
    over = [
        standing.boxes[n].at[2] - box.end[2]
        for n in _facing(standing, box, axis=2, toward_low=False)
    ]
    return Play(
        left_mm=_free(standing, box, axis=1, toward_low=True),
        right_mm=_free(standing, box, axis=1, toward_low=False),
        nose_mm=nose_mm(standing, box),
        above_mm=max(0, min([*over, height - box.end[2]])),
    )


def nose_mm(standing: Standing, box: Box) -> int:
    """How far a piece can move toward the nose."""
    return _free(standing, box, axis=0, toward_low=True)


def _facing(standing: Standing, box: Box, *, axis: int, toward_low: bool) -> list[int]:
    """The boxes that a piece would run into along an axis."""
    one, other = (a for a in range(3) if a != axis)
    low, high = standing.low, standing.high
    if toward_low:
        found = high[:, axis] <= box.at[axis] + TOLERANCE_MM
    else:
        found = low[:, axis] >= box.end[axis] - TOLERANCE_MM
    for a in (one, other):
        shared = np.minimum(high[:, a], box.end[a]) - np.maximum(low[:, a], box.at[a])
        found &= shared > TOLERANCE_MM
    return [n for n in np.flatnonzero(found).tolist() if standing.boxes[n].name != box.name]


def _free(standing: Standing, box: Box, *, axis: int, toward_low: bool) -> int:
    """The way along an axis until walls, or things that cover enough of the face, stop it."""
    one, other = (a for a in range(3) if a != axis)
    far = box.at[axis] if toward_low else standing.request.truck.interior_mm[axis] - box.end[axis]
    met: list[tuple[int, Rectangle]] = []
    for n in _facing(standing, box, axis=axis, toward_low=toward_low):
        thing = standing.boxes[n]
        if thing.is_roll and thing.size[axis] > STRUT_MM:
            continue
        way = box.at[axis] - thing.end[axis] if toward_low else thing.at[axis] - box.end[axis]
        part = (
            max(box.at[one], thing.at[one]),
            min(box.end[one], thing.end[one]),
            max(box.at[other], thing.at[other]),
            min(box.end[other], thing.end[other]),
        )
        met.append((way, part))
    face = box.size[one] * box.size[other]
    cover: list[Rectangle] = []
    for way, part in sorted(met):
        cover.append(part)
        if 100 * covered_mm2(cover) >= FACE_PERCENT * face:
            return max(0, min(way, far))
    return max(0, far)
