"""The scale's net weight against the sum of the pieces and against the space they take.

Sources: 7 lb per cubic foot of properly loaded van space is the constructive weight (Ohio Adm. Code
4901:2-19-07(E); DoD domestic tariff 400NG, item 4.9); pads and blocking in a container count as
tare when stored goods are weighed (43 Tex. Admin. Code; Va. Code 46.2-2165). A moving pad of about
6 lb, and how far typical weights may be off, are common practice without a source.
"""

from dataclasses import dataclass
from fractions import Fraction

from loading.road.pounds import MM_PER_FOOT, grams

POUNDS_PER_CUBIC_FOOT = 7
PAD_G = round(grams(6))
SCALE_STEP_G = round(grams(20))
"""Truck scales show steps of 20 lb; gross and tare may each be off by one."""
PADS, OTHER = CAUSES = ("pads_not_in_tare", "other_not_in_tare")
ESTIMATE_PERCENT = 20
"""How far the sum of pieces with typical weights may be off."""


def constructive_g(space_mm3: int) -> int:
    """The weight that the space of a load stands for at 7 lb per cubic foot."""
    return round(grams(POUNDS_PER_CUBIC_FOOT * Fraction(space_mm3) / MM_PER_FOOT**3))


def stored_net_g(*, gross_g: int, container_g: int, pads: int, blocking_g: int = 0) -> int:
    """The goods in a weighed vault: its own weight, its pads and its blocking are tare."""
    return gross_g - container_g - pads * PAD_G - blocking_g


@dataclass(frozen=True, slots=True)
class Weighed:
    """What is known of a load that was weighed.

    `more_pads`: pads that were aboard at the gross weighing but not at the tare; `more_g`: other
    things of that kind (fuel, people, equipment), negative if they had left by then.
    """

    net_g: int
    pieces_g: int
    estimated_g: int
    space_mm3: int
    more_pads: int = 0
    more_g: int = 0


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the difference that has a name: a `cause` and how much it explains."""

    cause: str
    weight_g: int


@dataclass(frozen=True, slots=True)
class Reconciled:
    """`difference_g` is the scale less the pieces; what `parts` leave of it is `left_g`.

    It is explained when no more is left than scale and typical weights may be off together.
    """

    difference_g: int
    constructive_g: int
    parts: tuple[Part, ...]
    left_g: int
    tolerance_g: int

    @property
    def is_explained(self) -> bool:
        return abs(self.left_g) <= self.tolerance_g


def reconcile(weighed: Weighed) -> Reconciled:
    """Say where the difference between scale and list comes from, and what is left of it."""
    difference = weighed.net_g - weighed.pieces_g
    named = (
        Part(PADS, weighed.more_pads * PAD_G),
        Part(OTHER, weighed.more_g),
    )
    parts = tuple(part for part in named if part.weight_g)
    return Reconciled(
        difference_g=difference,
        constructive_g=constructive_g(weighed.space_mm3),
        parts=parts,
        left_g=difference - sum(part.weight_g for part in parts),
        tolerance_g=2 * SCALE_STEP_G + weighed.estimated_g * ESTIMATE_PERCENT // 100,
    )
