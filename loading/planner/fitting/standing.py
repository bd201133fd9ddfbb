"""What stands in the truck now, in the form in which one more piece is judged against it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from loading.planner.checker.openings import Space, openings_in_truck
from loading.planner.plan import LEVELS, Fill, Placement, Size
from loading.planner.request import Item, LoadRequest, Progress

# Shared space, or a step in height, of up to this much is overlooked (contract R3).
TOLERANCE_MM = 1
# A top this far below a bottom still carries it (contract R4).
GAP_UNDER_MM = 10
RANK = {level: rank for rank, level in enumerate(LEVELS)}

Longs = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Box:
    """A piece (with its `item`), a roll, or what is in the way; `end` is the far corner."""

    name: str
    at: Size
    end: Size
    tier: int = 0
    rank: int = 0
    item: Item | None = None
    inside: str | None = None
    is_roll: bool = False

    @property
    def size(self) -> Size:
        return self.end[0] - self.at[0], self.end[1] - self.at[1], self.end[2] - self.at[2]

    @property
    def bottom_mm2(self) -> int:
        return (self.end[0] - self.at[0]) * (self.end[1] - self.at[1])


@dataclass(frozen=True, slots=True)
class Sight:
    """How a box lies to all that stand: indexes of those that share its space, that stand between
    it and the doors, in whose way out it stands, whose tops it touches and that it touches from
    below."""

    meets: tuple[int, ...]
    ahead: tuple[int, ...]
    behind: tuple[int, ...]
    under: tuple[int, ...]
    above: tuple[int, ...]


class Standing:
    """The boxes in the truck. What is worked out of them is kept; they do not change."""

    def __init__(
        self,
        request: LoadRequest,
        placements: Iterable[Placement],
        fills: Iterable[Fill] = (),
        *,
        closed: Iterable[int] = (),
    ) -> None:
        self.request = request
        self.placements = tuple(place for place in placements if request.has_item(place.tag))
        self.fills = tuple(fills)
        self.closed = frozenset(closed)
        self.boxes: tuple[Box, ...] = (
            *(box_of(request, place) for place in self.placements),
            *(_roll(fill) for fill in self.fills),
            *(Box(b.name, b.at_mm, _end(b.at_mm, b.size_mm)) for b in request.truck.blocked),
        )
        self.low: Longs = _corners([box.at for box in self.boxes])
        self.high: Longs = _corners([box.end for box in self.boxes])
        self._pieces = np.array([box.item is not None for box in self.boxes], dtype=np.bool_)
        # A blocked box does not bar the way (contract R7).
        self._bars = np.array([box.item is not None or box.is_roll for box in self.boxes], np.bool_)
        self._sights: dict[tuple[Size, Size], Sight] = {}
        self.index = {box.name: n for n, box in enumerate(self.boxes) if box.item is not None}

    @classmethod
    def of(cls, request: LoadRequest, progress: Progress | None = None) -> Standing:
        """What has been loaded so far; by default by the request's own progress."""
        done = progress or request.progress or Progress((), (), ())
        shut = (step.tier for step in done.steps if step.do == "close" and step.tier is not None)
        return cls(request, done.placements, done.fills, closed=shut)

    def with_piece(self, place: Placement) -> Standing:
        others = (other for other in self.placements if other.tag != place.tag)
        return Standing(self.request, (*others, place), self.fills, closed=self.closed)

    def without(self, tags: Iterable[str]) -> Standing:
        gone = frozenset(tags)
        kept = (place for place in self.placements if place.tag not in gone)
        return Standing(self.request, kept, self.fills, closed=self.closed)

    @property
    def tier(self) -> int:
        """The tier that is being built: the one after those that are closed."""
        highest = max((box.tier for box in self.boxes), default=0)
        last_closed = max(self.closed, default=0)
        return max(highest, last_closed + 1, 1)

    def tier_boxes(self, tier: int) -> list[Box]:
        return [box for box in self.boxes if box.tier == tier and box.item is not None]

    def front_mm(self, tier: int) -> int:
        """How far the pieces of the tiers up to this one reach toward the doors."""
        return max((box.end[0] for box in self.boxes if box.item and box.tier <= tier), default=0)

    def openings(self, tag: str) -> list[Space]:
        """Where a piece in the truck takes guests, in the truck's frame."""
        return self._openings[tag]

    @cached_property
    def _openings(self) -> dict[str, list[Space]]:
        guests: dict[str, list[Space]] = {}
        for box in self.boxes:
            if box.inside is not None:
                guests.setdefault(box.inside, []).append((box.at, box.end))
        return {
            place.tag: openings_in_truck(
                self.request, self.request.item(place.tag), place, guests.get(place.tag, ())
            )
            for place in self.placements
        }

    def sight(self, box: Box) -> Sight:
        """How a box that does not stand there yet would lie to those that do."""
        known = self._sights.get((box.at, box.end))
        if known is None:
            known = self._sights[box.at, box.end] = self._look(box)
        return known

    def _look(self, box: Box) -> Sight:
        at, end = np.array(box.at, np.int64), np.array(box.end, np.int64)
        shared = np.minimum(self.high, end) - np.maximum(self.low, at)
        more = shared > TOLERANCE_MM
        beside = more[:, 1] & more[:, 2]
        doors = self.request.truck.interior_mm[0]
        toward = np.minimum(self.high[:, 0], doors) - np.maximum(self.low[:, 0], box.at[0])
        away = np.minimum(box.end[0], doors) - np.maximum(self.low[:, 0], box.at[0])
        touch = (shared[:, 0] > 0) & (shared[:, 1] > 0)
        below, over = box.at[2] - self.high[:, 2], self.low[:, 2] - box.end[2]
        return Sight(
            meets=_true(beside & more[:, 0]),
            ahead=_true(beside & (toward > TOLERANCE_MM) & self._bars),
            behind=_true(beside & (away > TOLERANCE_MM) & self._pieces),
            under=_true(touch & (below >= -TOLERANCE_MM) & (below <= GAP_UNDER_MM)),
            above=_true(touch & (over >= -TOLERANCE_MM) & (over <= GAP_UNDER_MM)),
        )

    @cached_property
    def under(self) -> tuple[tuple[int, ...], ...]:
        """For each box the boxes whose tops it touches."""
        gap = self.low[:, None, 2] - self.high[None, :, 2]
        touch = (gap >= -TOLERANCE_MM) & (gap <= GAP_UNDER_MM)
        for axis in (0, 1):
            nearer = np.minimum(self.high[:, None, axis], self.high[None, :, axis])
            touch &= nearer > np.maximum(self.low[:, None, axis], self.low[None, :, axis])
        np.fill_diagonal(touch, val=False)
        found: list[list[int]] = [[] for _ in self.boxes]
        for i, j in np.argwhere(touch).tolist():
            found[i].append(j)
        return tuple(tuple(row) for row in found)


def box_of(request: LoadRequest, place: Placement) -> Box:
    """A placement as a box."""
    return Box(
        name=place.tag,
        at=place.at_mm,
        end=_end(place.at_mm, place.size_mm),
        tier=place.tier,
        rank=RANK.get(place.level, 0),
        item=request.item(place.tag),
        inside=place.inside,
    )


def _roll(fill: Fill) -> Box:
    end = _end(fill.at_mm, fill.size_mm)
    return Box(f"fill {fill.fill}", fill.at_mm, end, tier=fill.tier, is_roll=True)


def _end(at: Size, size: Size) -> Size:
    return at[0] + size[0], at[1] + size[1], at[2] + size[2]


def _corners(corners: Sequence[Size]) -> Longs:
    return np.array(corners, dtype=np.int64).reshape(-1, 3)


def _true(mask: NDArray[np.bool_]) -> tuple[int, ...]:
    return tuple(np.flatnonzero(mask).tolist())
