"""Tall pieces that would tip, and what they lean on.

A piece that `tipping` says tips is held where something within 15 cm reaches above the middle of
its height: a wall, another piece, rolled pads. The height of that contact is common practice.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from loading.planner.plan import Size
from loading.road.facing import Thing, met_mm2, near
from loading.road.forces import BREAKING, Direction
from loading.road.tipping import SIDEWAYS_TIPPING, box_tips
from loading.road.voids import VOID_SUM_MM

_WAYS = (
    (Direction.FORWARD, 0, -1),
    (Direction.REARWARD, 0, 1),
    (Direction.SIDEWAYS, 1, -1),
    (Direction.SIDEWAYS, 1, 1),
)


@dataclass(frozen=True, slots=True)
class Tipper:
    """A piece that would tip that way, and nothing keeps it from tipping."""

    tag: str
    tier: int
    direction: Direction


def tippers(things: Sequence[Thing], interior_mm: Size) -> Iterator[Tipper]:
    """The tall pieces that have to be tied, one line for each direction."""
    for thing in things:
        if thing.tag is None:
            continue
        found = {
            direction
            for direction, axis, toward in _WAYS
            if _tips(thing, direction, axis)
            and not _leans(thing, things, interior_mm[axis], axis, toward)
        }
        for direction in Direction:
            if direction in found:
                yield Tipper(thing.tag, thing.tier, direction)


def _tips(thing: Thing, direction: Direction, axis: int) -> bool:
    sideways = direction is Direction.SIDEWAYS
    acceleration = SIDEWAYS_TIPPING if sideways else BREAKING[direction]
    return box_tips(thing.size_mm[axis], thing.size_mm[2], acceleration)


def _leans(thing: Thing, things: Sequence[Thing], limit_mm: int, axis: int, toward: int) -> bool:
    to_wall = limit_mm - thing.end_mm(axis) if toward > 0 else thing.at_mm[axis]
    if to_wall <= VOID_SUM_MM:
        return True
    middle_mm = thing.at_mm[2] + thing.size_mm[2] // 2
    beside = near(thing, things, axis, toward=toward, within_mm=VOID_SUM_MM)
    return any(met_mm2(thing, other, axis, above_mm=middle_mm) for other in beside)
