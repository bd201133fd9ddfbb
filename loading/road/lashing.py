"""Straps over the top of a piece that nothing else holds: they press it down.

Source: EN 12195-1:2010: k = 2 for a strap over the top, safety factor 1.1 (1.25 forward, from
memory), tension the standard one of the ratchet (S_TF) or half its capacity. The formula
n = f_s (c - mu cz) m g / (k mu sin(alpha) F_T), here for straps that go straight up, is from
memory.
"""

from fractions import Fraction

TENSIONED_ENDS = 2
SAFETY = Fraction(11, 10)
TENSION_SHARE = Fraction(1, 2)


def tension_g(capacity_g: int, standard_tension_g: int | None = None) -> Fraction:
    """The tension that counts: the ratchet's own standard one, else half of the capacity."""
    if standard_tension_g is not None:
        return Fraction(standard_tension_g)
    return capacity_g * TENSION_SHARE


def straps_over_top(
    weight_g: int, acceleration: Fraction, friction: Fraction, tension: Fraction
) -> int:
    """How many straps keep a piece from sliding. Needs friction; 0 where that holds alone."""
    demand = SAFETY * max(Fraction(0), acceleration - friction) * weight_g
    return int(-(-demand // (TENSIONED_ENDS * friction * tension)))
