"""The Revised NIOSH Lifting Equation: how much to lift under given conditions.

RWL = LC x HM x VM x DM x AM x FM x CM, DHHS (NIOSH) Publication 94-110. It is made for lifting
with two hands while standing, not for carrying more than a step or two, tight spaces, or loads
that shift; so it is a guide to which pieces to look at, and no assessment of a workplace.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

Duration = Literal["short", "moderate", "long"]
"""Up to one, two or eight hours of lifting, with the recovery that belongs to it."""
Coupling = Literal["good", "fair", "poor"]

CAUTION: Final = (
    "The limit comes from the Revised NIOSH Lifting Equation. It does not hold for carrying, "
    "stairs, tight spaces or shifting loads, and says nothing about a single person."
)


@dataclass(frozen=True, slots=True)
class Constants:
    """The equation's constants, lengths in mm; the manual's two sets differ by rounding."""

    load_g: int
    reach_mm: float  # HM = reach / H
    reach_most_mm: float
    knuckle_mm: float  # VM = 1 - slope * |V - knuckle|
    slope: float
    height_most_mm: float
    travel_mm: float  # DM = 0.82 + travel / D
    travel_least_mm: float
    travel_most_mm: float


METRIC: Final = Constants(23_000, 250, 630, 750, 0.0003, 1750, 45, 250, 1750)
US: Final = Constants(23_133, 254, 635, 762, 0.0075 / 25.4, 1778, 45.72, 254, 1778)


@dataclass(frozen=True, slots=True)
class Lift:
    """Where the hands are and how often: H, V and D in mm, the twist A in degrees."""

    horizontal_mm: float
    vertical_mm: float
    distance_mm: float
    asymmetry_deg: float = 0
    per_minute: float = 0.2
    duration: Duration = "short"
    coupling: Coupling = "fair"


@dataclass(frozen=True, slots=True)
class Multipliers:
    """Each between 0 and 1; 0 where it should not be lifted so at all."""

    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float

    @property
    def product(self) -> float:
        return (
            self.horizontal
            * self.vertical
            * self.distance
            * self.asymmetry
            * self.frequency
            * self.coupling
        )


def lift_multipliers(
    lift: Lift, constants: Constants = METRIC, *, origin_mm: float | None = None
) -> Multipliers:
    """The six multipliers. `origin_mm` is the height at the origin when `lift` is the other end."""
    c = constants
    height_mm = lift.vertical_mm if origin_mm is None else origin_mm
    return Multipliers(
        horizontal=_horizontal(lift.horizontal_mm, c),
        vertical=0.0
        if not 0 <= lift.vertical_mm <= c.height_most_mm
        else 1 - c.slope * abs(lift.vertical_mm - c.knuckle_mm),
        distance=0.0
        if lift.distance_mm > c.travel_most_mm
        else min(1.0, 0.82 + c.travel_mm / max(lift.distance_mm, c.travel_least_mm)),
        asymmetry=0.0 if lift.asymmetry_deg > 135 else 1 - 0.0032 * lift.asymmetry_deg,
        frequency=frequency_multiplier(
            lift.per_minute, lift.duration, low=height_mm < c.knuckle_mm
        ),
        coupling=coupling_multiplier(lift.coupling, low=lift.vertical_mm < c.knuckle_mm),
    )


def _horizontal(horizontal_mm: float, constants: Constants) -> float:
    if horizontal_mm > constants.reach_most_mm:
        return 0.0
    return min(1.0, constants.reach_mm / max(horizontal_mm, 1))


def recommended_limit_g(
    lift: Lift, constants: Constants = METRIC, *, origin_mm: float | None = None
) -> int:
    """The recommended weight limit (RWL) in g, 0 where it should not be lifted so at all."""
    return round(constants.load_g * lift_multipliers(lift, constants, origin_mm=origin_mm).product)


_RATES: Final[tuple[float, ...]] = (0.2, 0.5, *range(1, 16))
_SHORT: Final[tuple[float, ...]] = (
    *(1.0, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60),
    *(0.52, 0.45, 0.41, 0.37, 0.34, 0.31, 0.28),
)
_MODERATE: Final[tuple[float, ...]] = (
    *(0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35),
    *(0.30, 0.26, 0.23, 0.21, 0.0, 0.0, 0.0),
)
_LONG: Final[tuple[float, ...]] = (
    *(0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18),
    *(0.15, 0.13, 0.0, 0.0, 0.0, 0.0, 0.0),
)
_FREQUENCY: Final = {"short": _SHORT, "moderate": _MODERATE, "long": _LONG}
_MOST_WHEN_LOW: Final = {"short": 12, "moderate": 10, "long": 8}
"""Below knuckle height, oftener than this a minute is too often (table 5)."""


def frequency_multiplier(per_minute: float, duration: Duration, *, low: bool) -> float:
    """FM by table 5, between its rows in proportion; `low` is below knuckle height."""
    if per_minute > _RATES[-1]:
        return 0.0
    row = [
        0.0 if low and rate > _MOST_WHEN_LOW[duration] else value
        for rate, value in zip(_RATES, _FREQUENCY[duration], strict=True)
    ]
    if per_minute <= _RATES[0]:
        return row[0]
    above = next(k for k, rate in enumerate(_RATES) if rate >= per_minute)
    share = (per_minute - _RATES[above - 1]) / (_RATES[above] - _RATES[above - 1])
    return row[above - 1] + share * (row[above] - row[above - 1])


def coupling_multiplier(coupling: Coupling, *, low: bool) -> float:
    """CM by table 7."""
    if coupling == "fair":
        return 0.95 if low else 1.0
    return 1.0 if coupling == "good" else 0.9


def average_rate(per_minute: float, work_min: float) -> float:
    """The rate over 15 minutes when lifting stops before they are over (section 1.3.5.5)."""
    return per_minute * min(work_min, 15) / 15


def duration_of(work_min: Sequence[float], recovery_min: Sequence[float]) -> Duration:
    """The class of a time pattern: spells of work with spells of recovery after each but the last.

    Spells without enough recovery between them (as long as the work for short ones, 0.3 of it
    for moderate ones) count as one.
    """
    for name, most_min, share in (("short", 60, 1.0), ("moderate", 120, 0.3)):
        spell, longest = 0.0, 0.0
        for number, work in enumerate(work_min):
            spell += work
            longest = max(longest, spell)
            if number < len(recovery_min) and recovery_min[number] >= share * spell:
                spell = 0.0
        if longest <= most_min:
            return "short" if name == "short" else "moderate"
    return "long"


def recovery_needed_min(work_min: float) -> float:
    """The recovery after so much lifting for it to stay in its class; none is enough after 2 h."""
    if work_min <= 60:
        return work_min
    return 0.3 * work_min


@dataclass(frozen=True, slots=True)
class RepeatedLift:
    """A weight, its limit without frequency (FIRWL), and how often it is lifted a minute."""

    weight: float
    limit: float
    per_minute: float


def composite_index(
    lifts: Sequence[RepeatedLift], duration: Duration, *, low: bool = True
) -> float:
    """The composite lifting index of several kinds of lifts in turn (section 2.4.5)."""

    def single(lift: RepeatedLift) -> float:
        return lift.weight / (lift.limit * frequency_multiplier(lift.per_minute, duration, low=low))

    ordered = sorted(lifts, key=single, reverse=True)
    index, rate = single(ordered[0]), ordered[0].per_minute
    for lift in ordered[1:]:
        before = frequency_multiplier(rate, duration, low=low)
        rate += lift.per_minute
        after = frequency_multiplier(rate, duration, low=low)
        index += lift.weight / lift.limit * (1 / after - 1 / before)
    return index
