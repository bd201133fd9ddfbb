from fractions import Fraction

import pytest

from loading.planner.request import Support
from loading.road.axles import Axle, axle_weights, parse_axles

SUPPORTS = (
    Support("front axle", -1500, 3_150_000, 5_000_000),
    Support("rear axle", 5050, 3_900_000, 9_525_000),
)


def document(**changed: object) -> list[dict[str, object]]:
    axles: list[dict[str, object]] = [
        {"x_mm": -1500, "tare_kg": 3150, "support": "front axle", "percent": 100},
        {"x_mm": 4450, "tare_kg": 1950, "support": "rear axle", "percent": 50, "limit_kg": 5000},
        {"x_mm": 5650, "tare_kg": 1950, "support": "rear axle", "percent": 50, "limit_kg": None},
    ]
    axles[1] |= changed
    return axles


def test_axles_are_read_with_their_units() -> None:
    axles, faults = parse_axles(document(), SUPPORTS)
    assert faults == ()
    assert axles[1] == Axle(4450, 1_950_000, "rear axle", 50, 5_000_000)
    assert axles[2].limit_g is None


def test_no_axles_are_no_fault() -> None:
    assert parse_axles([], SUPPORTS) == ((), ())


@pytest.mark.parametrize(
    ("changed", "pointer", "told"),
    [
        ({"percent": 40}, "/axles", "take 90 percent of rear axle, not 100"),
        ({"percent": 0}, "/axles/1/percent", ""),
        ({"support": "middle"}, "/axles/1/support", "must be one of front axle, rear axle"),
        ({"tare_kg": 2000}, "/axles", "weigh 7100 kg empty, the supports 7050 kg"),
        ({"x_mm": 5650}, "/axles", "stand in one place"),
        ({"x_mm": "4450"}, "/axles/1/x_mm", ""),
        ({"limit_kg": -1}, "/axles/1/limit_kg", ""),
    ],
)
def test_a_fault_names_its_key(changed: dict[str, object], pointer: str, told: str) -> None:
    _, faults = parse_axles(document(**changed), SUPPORTS)
    assert [fault.pointer for fault in faults] == [pointer]
    assert told in faults[0].message


def test_what_is_no_list_is_a_fault() -> None:
    assert parse_axles({"x_mm": 1}, SUPPORTS)[1]


def test_each_axle_takes_its_percent_of_its_support() -> None:
    axles, _ = parse_axles(document(), SUPPORTS)
    weights = axle_weights(axles, SUPPORTS, (Fraction(400_000), Fraction(1_000_001)))
    assert [axle.weight_g for axle in weights] == [
        3_550_000,
        1_950_000 + Fraction(1_000_001, 2),
        1_950_000 + Fraction(1_000_001, 2),
    ]
