"""What a thing in the truck would meet if it went in one direction."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from loading.planner.plan import LoadPlan, Size
from loading.planner.request import LoadRequest

STRUT_MM = 300
"""Rolled pads that are longer along an axis stop nothing on it (rule R14 of the contract)."""
TOLERANCE_MM = 1


@dataclass(frozen=True, slots=True)
class Thing:
    """A piece, a roll of pads or a blocked box; `tag` only for a piece."""

    tag: str | None
    at_mm: Size
    size_mm: Size
    tier: int
    is_fill: bool = False

    def end_mm(self, axis: int) -> int:
        return self.at_mm[axis] + self.size_mm[axis]

    def face_mm2(self, axis: int) -> int:
        one, other = (a for a in range(3) if a != axis)
        return self.size_mm[one] * self.size_mm[other]

    def stops_along(self, axis: int) -> bool:
        return not self.is_fill or self.size_mm[axis] <= STRUT_MM


def things_of(request: LoadRequest, plan: LoadPlan, tags: Iterable[str]) -> tuple[Thing, ...]:
    """The pieces `tags` that stand by themselves, the fills of their tiers, the blocked boxes."""
    wanted = set(tags)
    pieces = [
        Thing(place.tag, place.at_mm, place.size_mm, place.tier)
        for place in plan.placements
        if place.tag in wanted and (place.inside is None or place.inside not in wanted)
    ]
    tiers = {piece.tier for piece in pieces}
    fills = [
        Thing(None, fill.at_mm, fill.size_mm, fill.tier, is_fill=True)
        for fill in plan.fills
        if fill.tier in tiers
    ]
    boxes = [Thing(None, box.at_mm, box.size_mm, 0) for box in request.truck.blocked]
    return (*pieces, *fills, *boxes)


def met_mm2(thing: Thing, other: Thing, axis: int, *, above_mm: int | None = None) -> int:
    """How much of their faces meet along an axis; only what is above a height, if one is given."""
    area = 1
    for across in range(3):
        if across == axis:
            continue
        low = max(thing.at_mm[across], other.at_mm[across])
        if across == 2 and above_mm is not None:
            low = max(low, above_mm)
        shared = min(thing.end_mm(across), other.end_mm(across)) - low
        if shared <= TOLERANCE_MM:
            return 0
        area *= shared
    return area


def near(
    thing: Thing, others: Iterable[Thing], axis: int, *, toward: int, within_mm: int
) -> Iterator[Thing]:
    """The things that it would meet within a distance, `toward` the low (-1) or high (1) end."""
    for other in others:
        gap = (
            other.at_mm[axis] - thing.end_mm(axis)
            if toward > 0
            else thing.at_mm[axis] - other.end_mm(axis)
        )
        if other is not thing and -TOLERANCE_MM <= gap <= within_mm and other.stops_along(axis):
            yield other
