"""What a former plan has left to do, as moves that a new search begins with."""

from __future__ import annotations

import numpy as np

from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from loading.planner.search.arrays import Longs
from loading.planner.search.goods import Turn


def tiers_left(
    request: LoadRequest, turns: list[list[Turn]], former: LoadPlan
) -> list[tuple[int, Longs]]:
    """Each tier that is not yet loaded: where it began (x, mm), and its moves in loading order.

    A move (5,): item, turn, y, z, and the item in whose opening it rides or -1. Pieces that are
    loaded or gone by now, or have another size, are left out.
    """
    index = {item.tag: k for k, item in enumerate(request.items) if item.leaves}
    loaded = {p.tag for p in request.progress.placements} if request.progress else set()
    places = {place.tag: place for place in former.placements}
    tiers: dict[int, list[list[int]]] = {}
    begins: dict[int, int] = {}
    for step in former.steps:
        place = places.get(step.tag or "")
        if step.do != "load" or place is None or place.tag not in index or place.tag in loaded:
            continue
        i = index[place.tag]
        turn = _turn(turns[i], place.posture, place.size_mm)
        if turn is None or (place.inside is not None and place.inside not in index):
            continue
        host = index[place.inside] if place.inside is not None else -1
        _, y, z = place.at_mm
        tiers.setdefault(place.tier, []).append([i, turn, y, z, host])
        begins[place.tier] = min(begins.get(place.tier, place.at_mm[0]), place.at_mm[0])
    return [(begins[tier], np.array(tiers[tier], np.int64)) for tier in sorted(tiers)]


def _turn(turns: list[Turn], posture: str, size_mm: tuple[int, int, int]) -> int | None:
    for t, (known, size, _) in enumerate(turns):
        if known == posture and size == size_mm:
            return t
    return None


def vaults_left(former: LoadPlan) -> list[str]:
    """The former plan's pull order."""
    return [step.vault for step in former.steps if step.do == "pull" and step.vault]
