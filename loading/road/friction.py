"""How well goods hold by friction alone.

Source: CTU Code, Annex 7, Appendix 2, static, clean surfaces; dynamic is 75 % of it. The code has
no figure for pads: wood on plywood stands for whatever is no carton, the lowest that may apply.
"""

from fractions import Fraction

from loading.planner.request import Item

STATIC = {
    "sawn timber/wood pallet on plywood": Fraction(45, 100),
    "planed wood on plywood": Fraction(30, 100),
    "cardboard on cardboard (dry)": Fraction(50, 100),
    "cardboard on wood pallet (dry)": Fraction(50, 100),
    "smooth metal pair": Fraction(20, 100),
}
DYNAMIC_SHARE = Fraction(75, 100)
CARTON = STATIC["cardboard on cardboard (dry)"]
FURNITURE = STATIC["planed wood on plywood"]


def friction_of(item: Item) -> Fraction:
    """The static friction under a piece, on the deck or on others."""
    return CARTON if item.carton else FURNITURE


def dynamic(static: Fraction) -> Fraction:
    return static * DYNAMIC_SHARE
