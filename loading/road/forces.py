"""Accelerations that a load has to withstand, and what is left of them after friction.

Sources: 49 CFR 393.102(a)(1), against breaking strength, and (a)(2), against working load limits;
each direction alone. The CTU Code (ch. 5) and EN 12195-1 give the same 0.8, 0.5 and 0.5 for roads.
Sliding force: F = (c - mu cz) m g with cz = 1 (CTU Code; EN 12195-1).
"""

from enum import Enum
from fractions import Fraction

GRAVITY_M_S2 = Fraction(981, 100)


class Direction(Enum):
    FORWARD = "forward"
    REARWARD = "rearward"
    SIDEWAYS = "sideways"


BREAKING = {
    Direction.FORWARD: Fraction(800, 1000),
    Direction.REARWARD: Fraction(500, 1000),
    Direction.SIDEWAYS: Fraction(500, 1000),
}
"""In g, against the breaking strength of what holds."""

WORKING = {
    Direction.FORWARD: Fraction(435, 1000),
    Direction.REARWARD: Fraction(500, 1000),
    Direction.SIDEWAYS: Fraction(250, 1000),
}
"""In g, against its working load limit."""


def sliding_g(weight_g: int, acceleration: Fraction, friction: Fraction) -> Fraction:
    """The force that friction leaves, as the weight (g) that presses as much; 0 if it holds."""
    return max(Fraction(0), (acceleration - friction) * weight_g)


def newtons(force_g: Fraction) -> Fraction:
    """A force given as a weight, in newtons."""
    return force_g * GRAVITY_M_S2 / 1000
