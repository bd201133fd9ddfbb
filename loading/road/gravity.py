"""Where the load's weight lies: along, across and in height.

Sources: CTU Code (IMO/ILO/UNECE), Annex 7, 3.1.4: within 5 % of the length from the middle (10 % in
special cases), at most 60 % of the mass in half of the length; heavy below light, with the middle
of the weight below half height. Across: 5 % of the width, rule R12 of the planning contract. The
code is written for containers; of a truck that is loaded from the nose the supports decide, so what
lies outside here is a caution.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from loading.planner.plan import Size
from loading.road.aboard import Aboard

ALONG = Fraction(5, 100)
ALONG_SPECIAL = Fraction(10, 100)
HALF_SHARE = Fraction(60, 100)
ACROSS = Fraction(5, 100)
HEIGHT = Fraction(1, 2)


class Along(Enum):
    WITHIN = "within"
    SPECIAL = "special"
    OUTSIDE = "outside"


@dataclass(frozen=True, slots=True)
class Gravity:
    """The centre in the truck's frame, and how it stands to the limits.

    `half_share` is the share of the mass in the heavier half of the length.
    """

    at_mm: tuple[Fraction, Fraction, Fraction]
    interior_mm: Size
    half_share: Fraction

    @property
    def along_mm(self) -> Fraction:
        """Behind the middle of the length (negative: toward the nose)."""
        return self.at_mm[0] - Fraction(self.interior_mm[0], 2)

    @property
    def across_mm(self) -> Fraction:
        """Right of the middle of the width (negative: to the left)."""
        return self.at_mm[1] - Fraction(self.interior_mm[1], 2)

    @property
    def along(self) -> Along:
        off = abs(self.along_mm) / self.interior_mm[0]
        if off <= ALONG:
            return Along.WITHIN
        return Along.SPECIAL if off <= ALONG_SPECIAL else Along.OUTSIDE

    @property
    def halves_pass(self) -> bool:
        return self.half_share <= HALF_SHARE

    @property
    def across_passes(self) -> bool:
        return abs(self.across_mm) <= ACROSS * self.interior_mm[1]

    @property
    def height_passes(self) -> bool:
        return self.at_mm[2] <= HEIGHT * self.interior_mm[2]


def gravity_of(interior_mm: Size, pieces: Sequence[Aboard]) -> Gravity | None:
    """The centre of a load, each piece's weight in its middle; None for an empty truck."""
    total = sum(piece.weight_g for piece in pieces)
    if not total:
        return None
    x, y, z = (
        Fraction(sum(p.weight_g * p.twice_middle_mm(axis) for p in pieces), 2 * total)
        for axis in range(3)
    )
    return Gravity((x, y, z), interior_mm, _half_share(interior_mm[0], pieces, total))


def half_passes(total_g: int, half_g: int | Fraction) -> bool:
    """Whether a half of the length that holds this much of the mass is within 60 %."""
    return half_g <= HALF_SHARE * total_g


def _half_share(length_mm: int, pieces: Sequence[Aboard], total_g: int) -> Fraction:
    """The share in the heavier half; a piece on the line counts on both sides by its length."""
    whole, on_the_line = 0, Fraction(0)
    for piece in pieces:
        # Twice the part of its length before the middle, which is whole.
        before, size = length_mm - 2 * piece.at_mm[0], 2 * piece.size_mm[0]
        if before >= size:
            whole += piece.weight_g
        elif before > 0:
            on_the_line += Fraction(piece.weight_g * before, size)
    share = (whole + on_the_line) / total_g
    return max(share, 1 - share)
