"""What a former plan has left to do, as moves that a new search begins with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from loading.planner.search.arrays import Longs
from loading.planner.search.goods import Turn
from loading.planner.search.keep import MOVE_COLUMNS


@dataclass
class TierLeft:
    """What is left of one tier: its number, where that begins (x, mm), and what it is.

    A piece that has another size now keeps its posture; its turn is -1 if that is not allowed.
    """

    tier: int
    begin: int = 1 << 30
    pieces: list[list[int]] = field(default_factory=list)
    fills: list[list[int]] = field(default_factory=list)

    def moves(self) -> Longs:
        """(n, MOVE_COLUMNS), in loading order."""
        return np.array(self.pieces, np.int64).reshape(-1, MOVE_COLUMNS)

    def rolls(self) -> Longs:
        """(n, 6): x, y, z, dx, dy, dz."""
        return np.array(self.fills, np.int64).reshape(-1, 6)

    def items(self) -> list[int]:
        return [piece[0] for piece in self.pieces]


def tiers_left(
    request: LoadRequest, turns: list[list[Turn]], former: LoadPlan, unclosed: int | None
) -> list[TierLeft]:
    """Each tier that is not closed yet, in order, without what is loaded or gone by now.

    The one that was begun is there even if nothing is left of it: its pieces have to be held.
    What was meant for a tier that people closed without it is in none.
    """
    index = {item.tag: k for k, item in enumerate(request.items) if item.leaves}
    loaded = {p.tag for p in request.progress.placements} if request.progress else set()
    filled = {f.fill for f in request.progress.fills} if request.progress else set()
    closed = {s.tier for s in request.progress.steps if s.do == "close"} if request.progress else ()
    places = {place.tag: place for place in former.placements if place.tier not in closed}
    left: dict[int, TierLeft] = {}
    if unclosed is not None:
        left[unclosed] = TierLeft(unclosed)
    for fill in former.fills:  # a tier may have all its pieces and still lack rolls
        if fill.fill not in filled and fill.tier not in closed:
            tier = left.setdefault(fill.tier, TierLeft(fill.tier))
            tier.begin = min(tier.begin, fill.at_mm[0])
            tier.fills.append([*fill.at_mm, *fill.size_mm])
    for step in former.steps:
        place = places.get(step.tag or "")
        if step.do != "load" or place is None or place.tag not in index or place.tag in loaded:
            continue
        i = index[place.tag]
        turn = _turn(turns[i], place.posture, place.size_mm)
        host = index.get(place.inside, -1) if place.inside is not None else -1
        if place.inside is not None and host < 0:
            turn = -1
        tier = left.setdefault(place.tier, TierLeft(place.tier))
        tier.begin = min(tier.begin, place.at_mm[0])
        tier.pieces.append([i, turn, *place.at_mm, host])
    return [left[number] for number in sorted(left)]


def brought_next(request: LoadRequest, former: LoadPlan, pulled: Sequence[str]) -> Longs:
    """The pieces in the order in which the former plan brings them to the dock, then the others.

    Only those that leave, and are loose or in the vaults `pulled`.
    """
    index = {item.tag: k for k, item in enumerate(request.items) if item.leaves}
    inside = {vault.code: vault.items for vault in request.vaults}
    reached = {tag for code in pulled for tag in inside[code]}
    tags = [step.tag or "" for step in former.steps if step.do in ("unpack", "fetch")]
    tags += [tag for code in pulled for tag in inside[code]]
    known = [
        tag
        for tag in dict.fromkeys(tags)
        if tag in index and (tag in reached or request.vault_of(tag) is None)
    ]
    return np.array([index[tag] for tag in known], np.int64)


def _turn(turns: list[Turn], posture: str, size_mm: tuple[int, int, int]) -> int:
    """The turn of that posture that is likest in size; -1 if it may not ride like that."""
    best, least = -1, 0
    for t, (known, size, _) in enumerate(turns):
        off = abs(size[0] - size_mm[0]) + abs(size[1] - size_mm[1])
        if known == posture and (best < 0 or off < least):
            best, least = t, off
    return best


def vaults_left(former: LoadPlan) -> list[str]:
    """The former plan's pull order."""
    return [step.vault for step in former.steps if step.do == "pull" and step.vault]


def reach_mm(former: LoadPlan) -> int:
    """How deep the former plan's load is."""
    return max((place.at_mm[0] + place.size_mm[0] for place in former.placements), default=0)
