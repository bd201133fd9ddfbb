"""Whether a piece tips over before it slides.

Source: EN 12195-1 (from memory): it stands if b cz >= d c, where b is the way from the middle of
its weight to the edge, d the height of that middle, c the acceleration. For an even box: width over
height is at least c. Sideways the standard asks 0.5 for sliding and 0.6 for tipping.
"""

from fractions import Fraction

from loading.road.lashing import EDITION_2010

SIDEWAYS_TIPPING = EDITION_2010.sideways_tipping


def tips(
    edge_mm: int | Fraction,
    middle_height_mm: int | Fraction,
    acceleration: Fraction,
    *,
    downward: Fraction = Fraction(1),
) -> bool:
    """Whether an acceleration tips a weight `middle_height_mm` up, `edge_mm` from its edge."""
    return edge_mm * downward < middle_height_mm * acceleration


def box_tips(width_mm: int | Fraction, height_mm: int | Fraction, acceleration: Fraction) -> bool:
    """The same for an even box, pushed along its width."""
    return tips(Fraction(width_mm) / 2, Fraction(height_mm) / 2, acceleration)
