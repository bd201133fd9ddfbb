"""How well goods hold by friction alone.

Sources: CTU Code, Annex 7, Appendix 2, static, clean surfaces; dynamic is 75 % of it. The code has
no figure for pads: wood on plywood stands for whatever is no carton, the lowest that may apply.
A friction mat that bears no mark counts for half the weight that rests on it (49 CFR 393.108, from
memory).
"""

from fractions import Fraction

from loading.planner.request import Item

STATIC = {
    "sawn timber/wood pallet on plywood": Fraction(45, 100),
    "sawn timber on grooved aluminium": Fraction(40, 100),
    "sawn timber on stainless": Fraction(30, 100),
    "sawn timber on shrink film": Fraction(30, 100),
    "planed wood on plywood": Fraction(30, 100),
    "planed wood on aluminium": Fraction(25, 100),
    "planed wood on stainless": Fraction(20, 100),
    "plastic pallet on plywood": Fraction(20, 100),
    "plastic pallet on aluminium or stainless": Fraction(15, 100),
    "cardboard on cardboard (dry)": Fraction(50, 100),
    "cardboard on wood pallet (dry)": Fraction(50, 100),
    "big bag on wood pallet": Fraction(40, 100),
    "unpainted rough metal pair": Fraction(40, 100),
    "painted rough metal pair": Fraction(30, 100),
    "smooth metal pair": Fraction(20, 100),
    "steel crate on plywood": Fraction(45, 100),
    "steel crate on aluminium": Fraction(30, 100),
    "steel crate on stainless": Fraction(20, 100),
    "rough concrete on sawn wood": Fraction(70, 100),
}
DYNAMIC_SHARE = Fraction(75, 100)
MAT = Fraction(50, 100)
CARTON = STATIC["cardboard on cardboard (dry)"]
FURNITURE = STATIC["planed wood on plywood"]


def friction_of(item: Item) -> Fraction:
    """The static friction under a piece, on the deck or on others."""
    return CARTON if item.carton else FURNITURE


def dynamic(static: Fraction) -> Fraction:
    return static * DYNAMIC_SHARE
