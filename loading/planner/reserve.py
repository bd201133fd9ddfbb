"""Room kept before the doors for pieces whose size is only estimated (`size_from` kind).

The tier that is built next is exact: its pieces are measured as they come out of their vaults. Each
tier after it may turn out deeper by a share of what estimated pieces make of its depth. There is no
published figure for how far typical sizes are off; the share is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest

PERCENT = 5
NEAR_TIERS = 1  # after those that were begun


@dataclass(frozen=True, slots=True)
class Reserve:
    """`tiers`: number of each tier that may grow, and by how much (mm).

    `wanted_mm` in all; `kept_mm` is what the plan leaves free before the doors.
    """

    tiers: tuple[tuple[int, int], ...]
    kept_mm: int

    @property
    def wanted_mm(self) -> int:
        return sum(grows for _, grows in self.tiers)

    @property
    def short_mm(self) -> int:
        return max(0, self.wanted_mm - self.kept_mm)


def reserve_of(request: LoadRequest, plan: LoadPlan) -> Reserve:
    """The reserve that a plan should keep, and the one it keeps."""
    begun = first_far(request)
    estimated = estimated_tags(request)
    begins: dict[int, int] = {}
    ends: dict[int, int] = {}
    for place in plan.placements:
        begins[place.tier] = min(begins.get(place.tier, place.at_mm[0]), place.at_mm[0])
        if place.tag in estimated:
            end = place.at_mm[0] + place.size_mm[0]
            ends[place.tier] = max(ends.get(place.tier, 0), end)
    grown = ((tier, grows_mm(ends[tier] - begins[tier])) for tier in sorted(ends) if tier >= begun)
    reach = max((place.at_mm[0] + place.size_mm[0] for place in plan.placements), default=0)
    return Reserve(tuple(grown), request.truck.interior_mm[0] - reach)


def grows_mm(depth_mm: int) -> int:
    """How much deeper a tier may turn out that estimated pieces make so deep."""
    return depth_mm * PERCENT // 100


def first_far(request: LoadRequest) -> int:
    """The number of the first tier that keeps a reserve."""
    placed: Iterable[int] = ()
    if request.progress is not None:
        placed = (place.tier for place in request.progress.placements)
    return max(placed, default=0) + NEAR_TIERS + 1


def estimated_tags(request: LoadRequest) -> frozenset[str]:
    """The pieces that leave and were never measured."""
    return frozenset(item.tag for item in request.items if item.leaves and item.size_from == "kind")
