"""What a carry asks of those who do it, and how much each has carried in the shift.

The limits for carrying are those of ISO 11228-1, from memory: 10,000 kg a person in eight hours,
6,000 kg where it is carried over 20 m. They are shown, and heavy pieces go to those who have
carried least; nobody is ranked by them.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from jobs.scheduling.lifting import ONE_PERSON_LIMIT_G, lift_advice, team_limit_g
from jobs.scheduling.lifting_equation import CAUTION, Lift, recommended_limit_g
from loading.planner.request import Size

SHIFT_S: Final = 8 * 3600
MASS_A_SHIFT_G: Final = 10_000_000
MASS_A_SHIFT_FAR_G: Final = 6_000_000
FAR_MM: Final = 20_000
_MOST_BY_DEFAULT: Final = 2


@dataclass(frozen=True, slots=True)
class CarryAssessment:
    """People to send; the most recommended for them together; weight over limit in per cent.

    `too_much` says that even two should not lift it by hand: use wheels or straps.
    """

    people: int
    limit_g: int
    index_pct: int
    too_much: bool
    caution: str = CAUTION

    @property
    def index(self) -> float:
        """The lifting index: above 1 it is more than is recommended."""
        return self.index_pct / 100


def carry_assessment(*, size_mm: Size, weight_g: int) -> CarryAssessment:
    """The lifting index of taking a piece up from the floor, for those who should do it.

    The hands are taken to be at half the piece's height but not above 750 mm, it is brought to
    750 mm with no twist, held against the body by its narrower side, with fair grip, once every
    two minutes over the day (common practice, no source). The reach is estimated from the width
    as the manual does. A team's limit is the factor of HSE L23 of the limits of its members.
    """
    limit_g = recommended_limit_g(_from_the_floor(size_mm))
    alone = weight_g <= ONE_PERSON_LIMIT_G and lift_advice(size_mm=size_mm, weight_g=weight_g)
    people = alone.people if alone else _MOST_BY_DEFAULT
    together_g = team_limit_g([limit_g] * people)
    index_pct = 999 if together_g <= 0 else min(999, round(100 * weight_g / together_g))
    return CarryAssessment(
        people=people,
        limit_g=together_g,
        index_pct=index_pct,
        too_much=weight_g > team_limit_g([ONE_PERSON_LIMIT_G] * _MOST_BY_DEFAULT),
    )


def _from_the_floor(size_mm: Size) -> Lift:
    length_mm, width_mm, height_mm = size_mm
    hands_mm = min(height_mm / 2, 750)
    reach_mm = (200 if hands_mm >= 250 else 250) + min(length_mm, width_mm) / 2
    return Lift(
        # A wide piece is gripped on both edges; the reach does not grow beyond the equation's end.
        horizontal_mm=min(reach_mm, 630),
        vertical_mm=hands_mm,
        distance_mm=750 - hands_mm,
        per_minute=0.5,
        duration="long",
    )


@dataclass(frozen=True, slots=True)
class Carried:
    """A piece that was carried by so many people so far."""

    weight_g: int
    people: int
    distance_mm: int


@dataclass(frozen=True, slots=True)
class ShiftMass:
    """One person's mass carried so far, the limit for the shift, and the share of it in per cent.

    Each carries an equal part of a piece. The limit is that for the hours of the shift, and the
    lower one if most of the mass went 20 m or farther.
    """

    carried_g: int
    limit_g: int

    @property
    def share_pct(self) -> int:
        return round(100 * self.carried_g / self.limit_g) if self.limit_g else 0

    @property
    def over(self) -> bool:
        return self.carried_g > self.limit_g


def shift_mass(carried: Iterable[Carried], *, shift_s: int = SHIFT_S) -> ShiftMass:
    """The mass of a shift of `shift_s`, at most eight hours' worth."""
    near_g = far_g = 0
    for one in carried:
        part_g = -(-one.weight_g // max(1, one.people))
        if one.distance_mm >= FAR_MM:
            far_g += part_g
        else:
            near_g += part_g
    most_g = MASS_A_SHIFT_FAR_G if far_g > near_g else MASS_A_SHIFT_G
    return ShiftMass(near_g + far_g, most_g * min(shift_s, SHIFT_S) // SHIFT_S)


def least_laden_first(people: Sequence[str], carried_g: Mapping[str, int]) -> tuple[str, ...]:
    """People by what they have carried so far, least first, otherwise in the order given."""
    return tuple(sorted(people, key=lambda person: carried_g.get(person, 0)))
