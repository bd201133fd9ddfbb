"""The federal bridge formula: what a group of consecutive axles may weigh.

W = 500 (L N / (N - 1) + 12 N + 36), to the nearest 500 lb (ties down, which reproduces the
published table), for N axles whose first and last are L feet apart.

Sources: 23 U.S.C. 127; 23 CFR 658.17; FHWA, Bridge Formula Weights, FHWA-HOP-19-028: single axle
20,000 lb, tandem 34,000 lb (axles more than 40 and at most 96 in apart), gross 80,000 lb, and the
exception for two consecutive tandems, 34,000 lb each when their outer axles are 36 ft or more
apart. From memory: distances are rounded to the nearest foot, but 8 ft and a little is no tandem.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from loading.road.pounds import MM_PER_INCH, feet, pounds

SINGLE_LB = 20_000
TANDEM_LB = 34_000
GROSS_LB = 80_000
ONE_AXLE_MM = 40 * MM_PER_INCH
TANDEM_MM = 96 * MM_PER_INCH
TWO_TANDEMS_FT = 36
STEP_LB = 500


@dataclass(frozen=True, slots=True)
class AxleWeight:
    """One axle on the road: its place along the vehicle and what it weighs on a scale."""

    x_mm: int | Fraction
    weight_g: int | Fraction


@dataclass(frozen=True, slots=True)
class AxleGroup:
    """Consecutive axles `first` to `last` (from 1), what they weigh and may weigh, in lb."""

    first: int
    last: int
    span_ft: Fraction
    actual_lb: Fraction
    allowed_lb: int

    @property
    def over_lb(self) -> Fraction:
        return max(Fraction(0), self.actual_lb - self.allowed_lb)

    @property
    def name(self) -> str:
        return f"{self.first}-{self.last}" if self.last > self.first else str(self.first)


def formula_lb(span_ft: Fraction, axles: int) -> int:
    """The bare formula, rounded to 500 lb, ties down. Needs two axles or more."""
    raw = STEP_LB * (span_ft * axles / (axles - 1) + 12 * axles + 36)
    steps = raw / STEP_LB
    return STEP_LB * -((Fraction(1, 2) - steps) // 1)


def allowed_lb(span_mm: int | Fraction, axles: int) -> int:
    """What a group may weigh by formula, tandem, single-axle and gross limits together."""
    if axles == 1 or span_mm <= ONE_AXLE_MM:
        return SINGLE_LB
    if span_mm <= TANDEM_MM:
        return TANDEM_LB
    whole_ft = Fraction((feet(span_mm) + Fraction(1, 2)) // 1)
    return min(formula_lb(whole_ft, axles), axles * SINGLE_LB, GROSS_LB)


def axle_groups(axles: Sequence[AxleWeight]) -> Iterator[AxleGroup]:
    """Every single axle, then every group of two or more consecutive ones, front to rear."""
    ordered = sorted(axles, key=lambda axle: axle.x_mm)
    for number, axle in enumerate(ordered, start=1):
        yield AxleGroup(number, number, Fraction(0), pounds(axle.weight_g), SINGLE_LB)
    for first in range(len(ordered)):
        for last in range(first + 1, len(ordered)):
            yield _group(ordered, first, last)


def _group(axles: Sequence[AxleWeight], first: int, last: int) -> AxleGroup:
    group = axles[first : last + 1]
    span_mm = group[-1].x_mm - group[0].x_mm
    allowed = allowed_lb(span_mm, len(group))
    if _are_two_tandems(group) and feet(span_mm) >= TWO_TANDEMS_FT:
        allowed = max(allowed, 2 * TANDEM_LB)
    actual = sum((pounds(axle.weight_g) for axle in group), Fraction(0))
    return AxleGroup(first + 1, last + 1, feet(span_mm), actual, allowed)


def _are_two_tandems(group: Sequence[AxleWeight]) -> bool:
    if len(group) != 4:
        return False
    spacings = (group[1].x_mm - group[0].x_mm, group[3].x_mm - group[2].x_mm)
    return all(ONE_AXLE_MM < spacing <= TANDEM_MM for spacing in spacings)
