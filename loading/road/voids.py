"""Void spaces: their sum along each horizontal axis by itself.

Source: CTU Code (IMO/ILO/UNECE), Annex 7 (clause 2.3.6 from memory): where cargo is held by
blocking, the sum of void spaces in any horizontal direction is at most 15 cm; less between dense,
rigid items. The sums of a load are the travels of rule R14, pushed to either side.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from loading.planner.checker.tightness import Travels

VOID_SUM_MM = 150


@dataclass(frozen=True, slots=True)
class Voids:
    """The largest sums along the truck (toward the nose) and across, and whose they are."""

    along_mm: int
    along_tag: str | None
    across_mm: int
    across_tag: str | None

    @property
    def are_within_limit(self) -> bool:
        return max(self.along_mm, self.across_mm) <= VOID_SUM_MM


def sum_passes(gaps_mm: Iterable[float]) -> bool:
    """Whether the gaps in one row along one axis are within the limit."""
    return sum(gaps_mm) <= VOID_SUM_MM


def voids_of(found: Travels) -> Voids:
    along_tag, along_mm = _largest(found.nose)
    across_tag, across_mm = _largest(found.side)
    return Voids(along_mm, along_tag, across_mm, across_tag)


def _largest(travel_mm: dict[str, int]) -> tuple[str | None, int]:
    if not travel_mm:
        return None, 0
    tag = max(sorted(travel_mm), key=lambda tag: travel_mm[tag])
    return (tag, travel_mm[tag]) if travel_mm[tag] else (None, 0)
