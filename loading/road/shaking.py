"""How hard a truck's deck shakes, and which loads that asks more of.

Sources: ASTM D4169-16, random vibration of trucks at its three levels (g rms, minutes of each in
its test); ISTA, steel springs and air ride (from memory). A load shakes apart slowly, so both the
level and the length of the trip count; from which distance on is common practice, without a source.
"""

from dataclasses import dataclass
from enum import IntEnum
from fractions import Fraction

LONG_TRIP_KM = 500


class Level(IntEnum):
    LOW = 1
    MEDIUM = 2
    HIGH = 3


@dataclass(frozen=True, slots=True)
class Shaking:
    """A level of the test: g rms, and how long it lasts there."""

    g_rms: Fraction
    minutes: int


LEVELS = {
    Level.LOW: Shaking(Fraction(40, 100), 40),
    Level.MEDIUM: Shaking(Fraction(54, 100), 15),
    Level.HIGH: Shaking(Fraction(70, 100), 5),
}

RIDES_G_RMS = {"spring": Fraction(54, 100), "air": Fraction(30, 100)}
"""By the ride of the planning contract."""


def level_of(ride: str) -> Level:
    """The lowest level of the test that is as hard as this ride."""
    g_rms = RIDES_G_RMS[ride]
    return next(level for level in Level if g_rms <= LEVELS[level].g_rms or level is Level.HIGH)


def shakes_loose(ride: str, distance_km: float) -> bool:
    """Whether a trip asks for straps along the load: long, and more than the lowest level."""
    return distance_km > LONG_TRIP_KM and level_of(ride) > Level.LOW
