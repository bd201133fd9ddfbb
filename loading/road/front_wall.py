"""The wall in the nose, which holds the load in braking.

Source: 49 CFR 393.114 (its figures partly from memory): it reaches 4 ft above the deck or as high
as the cargo that it blocks, whichever is lower, and withstands half of the cargo's weight if it is
less than 6 ft high, else 40 %.
"""

from fractions import Fraction

from loading.road.pounds import MM_PER_FOOT

ENOUGH_MM = 4 * MM_PER_FOOT
TALL_MM = 6 * MM_PER_FOOT


def strength_required_g(wall_height_mm: int | Fraction, cargo_g: int) -> Fraction:
    """The force forward that it has to withstand, as the weight that presses as much."""
    return cargo_g * (Fraction(40, 100) if wall_height_mm >= TALL_MM else Fraction(50, 100))


def is_high_enough(wall_height_mm: int | Fraction, cargo_height_mm: int | Fraction) -> bool:
    return wall_height_mm >= min(ENOUGH_MM, cargo_height_mm)
