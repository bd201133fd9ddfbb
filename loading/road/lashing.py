"""Straps over the top of a piece that nothing else holds: they press it down.

Source: EN 12195-1 in two editions. 2010: k = 2 for a strap over the top, safety factor 1.1 (1.25
forward, from memory), 0.6 g sideways for tipping. 2003: k = 1.5, no safety factor, 0.7 g for
tipping, and 0.7 of the static friction; some countries still ask for it. Tension is the standard
one of the ratchet (S_TF) or half its capacity. The formula
n = f_s (c - mu cz) m g / (k mu sin(alpha) F_T), here for straps that go straight up, is from
memory.
"""

from dataclasses import dataclass
from fractions import Fraction

TENSION_SHARE = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Edition:
    """What the editions of the standard give differently."""

    tensioned_ends: Fraction
    safety: Fraction
    friction_share: Fraction
    sideways_tipping: Fraction


EDITION_2010 = Edition(Fraction(2), Fraction(11, 10), Fraction(1), Fraction(6, 10))
EDITION_2003 = Edition(Fraction(15, 10), Fraction(1), Fraction(7, 10), Fraction(7, 10))


def tension_g(capacity_g: int, standard_tension_g: int | None = None) -> Fraction:
    """The tension that counts: the ratchet's own standard one, else half of the capacity."""
    if standard_tension_g is not None:
        return Fraction(standard_tension_g)
    return capacity_g * TENSION_SHARE


def straps_over_top(
    weight_g: int,
    acceleration: Fraction,
    friction: Fraction,
    tension: Fraction,
    edition: Edition = EDITION_2010,
) -> int:
    """How many straps keep a piece from sliding. Needs static friction; 0 where it holds alone."""
    counted = friction * edition.friction_share
    demand = edition.safety * max(Fraction(0), acceleration - counted) * weight_g
    return int(-(-demand // (edition.tensioned_ends * counted * tension)))
