"""Tie-downs: how many, how strong, and what each counts.

Sources: 49 CFR 393.106(d): the aggregate working load limit is at least half the weight held; a
tie-down counts half when it goes from the vehicle to the article, or over it back to the same
side, and whole when it goes over to the other side; an assembly is as strong as its weakest part.
393.110: the number of tie-downs. What unmarked ones count: `unmarked`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from loading.road.pounds import MM_PER_FOOT, grams

HELD_SHARE = Fraction(1, 2)
SHORT_MM = 5 * MM_PER_FOOT
LONG_MM = 10 * MM_PER_FOOT
LIGHT_G = grams(1_100)


class Route(Enum):
    DIRECT = "direct"
    SAME_SIDE = "same_side"
    OVER_TO_OTHER_SIDE = "over_to_other_side"


COUNTS = {
    Route.DIRECT: Fraction(1, 2),
    Route.SAME_SIDE: Fraction(1, 2),
    Route.OVER_TO_OTHER_SIDE: Fraction(1),
}


@dataclass(frozen=True, slots=True)
class TieDown:
    """A strap, chain or bar in use: the working load limit of its weakest part, and its route."""

    wll_g: int
    route: Route


def weakest_part(limits_g: Mapping[str, int]) -> tuple[str, int]:
    """The part that limits an assembly (strap, ratchet, anchor), and its limit."""
    return min(limits_g.items(), key=lambda part: (part[1], part[0]))


def aggregate_g(tie_downs: Iterable[TieDown]) -> Fraction:
    """The working load limit of several tie-downs together."""
    return sum((tie.wll_g * COUNTS[tie.route] for tie in tie_downs), Fraction(0))


def required_aggregate_g(weight_g: int) -> Fraction:
    """The least aggregate working load limit for a weight."""
    return weight_g * HELD_SHARE


def count_required(length_mm: int | Fraction, weight_g: int | Fraction, *, blocked: bool) -> int:
    """The least number of tie-downs; `blocked`: something in front keeps it from going forward."""
    tens = _parts(length_mm)
    if blocked:
        return tens
    if length_mm <= SHORT_MM:
        return 1 if weight_g <= LIGHT_G else 2
    return 1 + tens


def _parts(length_mm: int | Fraction) -> int:
    """How many times 10 ft, a part counting as one."""
    return max(1, int(-(-length_mm // LONG_MM)))
