"""How hard trucks shake.

Figures: ASTM D4169-16, 0.40 / 0.54 / 0.70 g rms for 40 / 15 / 5 minutes; ISTA, steel springs 0.54,
air ride about 0.3 (from memory).
"""

from loading.road.shaking import LEVELS, LONG_TRIP_KM, RIDES_G_RMS, Level, level_of, shakes_loose


def test_levels_of_astm_d4169() -> None:
    told = [(float(LEVELS[level].g_rms), LEVELS[level].minutes) for level in Level]
    assert told == [(0.40, 40), (0.54, 15), (0.70, 5)]


def test_rides_from_memory() -> None:
    assert {ride: float(g_rms) for ride, g_rms in RIDES_G_RMS.items()} == {
        "spring": 0.54,
        "air": 0.3,
    }
    assert (level_of("spring"), level_of("air")) == (Level.MEDIUM, Level.LOW)


def test_only_a_long_trip_on_steel_springs_shakes_a_load_loose() -> None:
    assert shakes_loose("spring", LONG_TRIP_KM + 1)
    assert not shakes_loose("spring", LONG_TRIP_KM)
    assert not shakes_loose("air", 10 * LONG_TRIP_KM)
