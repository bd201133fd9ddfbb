"""What a former plan has left to do, as moves that a new search begins with."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from loading.planner.search.arrays import Longs
from loading.planner.search.goods import Turn


@dataclass
class TierLeft:
    """What is left of one tier: its number, where that begins (x, mm), and what it is."""

    tier: int
    begin: int = 1 << 30
    pieces: list[list[int]] = field(default_factory=list)
    fills: list[list[int]] = field(default_factory=list)

    def moves(self) -> Longs:
        """(n, 5): item, turn, y, z, the item in whose opening it rides or -1; in loading order."""
        return np.array(self.pieces, np.int64).reshape(-1, 5)

    def rolls(self) -> Longs:
        """(n, 6): x, y, z, dx, dy, dz."""
        return np.array(self.fills, np.int64).reshape(-1, 6)


def tiers_left(request: LoadRequest, turns: list[list[Turn]], former: LoadPlan) -> list[TierLeft]:
    """Each tier that is not loaded yet, in order.

    Pieces that are loaded or gone by now, or have another size, are left out.
    """
    index = {item.tag: k for k, item in enumerate(request.items) if item.leaves}
    loaded = {p.tag for p in request.progress.placements} if request.progress else set()
    filled = {f.fill for f in request.progress.fills} if request.progress else set()
    places = {place.tag: place for place in former.placements}
    left: dict[int, TierLeft] = {}
    for fill in former.fills:  # a tier may have all its pieces and still lack rolls
        if fill.fill not in filled:
            tier = left.setdefault(fill.tier, TierLeft(fill.tier))
            tier.begin = min(tier.begin, fill.at_mm[0])
            tier.fills.append([*fill.at_mm, *fill.size_mm])
    for step in former.steps:
        place = places.get(step.tag or "")
        if step.do != "load" or place is None or place.tag not in index or place.tag in loaded:
            continue
        i = index[place.tag]
        turn = _turn(turns[i], place.posture, place.size_mm)
        if turn is None or (place.inside is not None and place.inside not in index):
            continue
        host = index[place.inside] if place.inside is not None else -1
        tier = left.setdefault(place.tier, TierLeft(place.tier))
        tier.begin = min(tier.begin, place.at_mm[0])
        tier.pieces.append([i, turn, place.at_mm[1], place.at_mm[2], host])
    return [left[number] for number in sorted(left)]


def unpacked_next(request: LoadRequest, former: LoadPlan) -> Longs:
    """The pieces in the order in which the former plan unpacks them."""
    index = {item.tag: k for k, item in enumerate(request.items)}
    tags = [step.tag or "" for step in former.steps if step.do == "unpack"]
    return np.array([index[tag] for tag in tags if tag in index], np.int64)


def _turn(turns: list[Turn], posture: str, size_mm: tuple[int, int, int]) -> int | None:
    for t, (known, size, _) in enumerate(turns):
        if known == posture and size == size_mm:
            return t
    return None


def vaults_left(former: LoadPlan) -> list[str]:
    """The former plan's pull order."""
    return [step.vault for step in former.steps if step.do == "pull" and step.vault]
