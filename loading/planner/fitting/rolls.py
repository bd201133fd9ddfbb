"""How many rolled pads close a gap, and whether they hold what stands beside it (contract R14)."""

from __future__ import annotations

from dataclasses import dataclass

from loading.planner.plan import Size

PAD_MM3 = 30_000_000
THIN_MM, THICK_MM = 20, 300
LONG_MM, LONG_THIN_MM = 1000, 100
ROW_MM = 900


@dataclass(frozen=True, slots=True)
class Rolls:
    """Rolls of one size side by side across the truck. `holds`: they end the side travel."""

    count: int
    size_mm: Size
    pads: int
    holds: bool


def rolls_for(gap_mm: Size) -> Rolls:
    """The rolls that close a gap (depth, width, height); none for one that is too thin to matter.

    A roll that is thin is made no longer than such a roll may be: it need not close all of a gap
    to hold what stands beside it.
    """
    depth, width, height = gap_mm
    if min(gap_mm) < THIN_MM:
        return Rolls(0, (0, 0, 0), 0, holds=width < THIN_MM)
    count = -(-width // THICK_MM)
    thick = width // count
    longest = LONG_MM if min(thick, depth, height) < LONG_THIN_MM else max(depth, height)
    size = min(depth, longest), thick, min(height, longest)
    pads = -(-size[0] * size[1] * size[2] // PAD_MM3)
    return Rolls(count, size, count * pads, holds=width <= ROW_MM)
