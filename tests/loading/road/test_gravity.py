"""Limits of the CTU Code, Annex 7, 3.1.4 (tests/data/road/securement.json)."""

from fractions import Fraction

import pytest

from loading.road.gravity import Along, gravity_of, half_passes
from tests.loading.road.facts import securement
from tests.loading.road.loads import piece

INTERIOR = (6000, 2000, 2000)


@pytest.mark.parametrize(("payload_kg", "half_kg", "passes"), securement("ctu_60_40")["vectors"])
def test_60_percent_of_the_mass_in_half_of_the_length(
    payload_kg: int, half_kg: int, passes: bool
) -> None:
    assert half_passes(payload_kg * 1000, half_kg * 1000) is passes


def test_the_vectors_through_a_load() -> None:
    for payload_kg, half_kg, passes in securement("ctu_60_40")["vectors"]:
        front = piece(half_kg * 1000, 1000)
        rear = piece((payload_kg - half_kg) * 1000, 5000)
        gravity = gravity_of(INTERIOR, (front, rear))
        assert gravity is not None
        assert gravity.halves_pass is passes


def test_the_centre_of_two_boxes_by_hand() -> None:
    boxes = (piece(100, 1000), piece(300, 5000, at_mm=(4999, 1000, 500)))
    gravity = gravity_of(INTERIOR, boxes)
    assert gravity is not None
    assert gravity.at_mm == (4000, 1250, 875)
    assert (gravity.along_mm, gravity.across_mm) == (1000, 250)


@pytest.mark.parametrize(
    ("x_mm", "along"),
    [
        (3300, Along.WITHIN),
        (2700, Along.WITHIN),
        (3301, Along.SPECIAL),
        (3600, Along.SPECIAL),
        (2399, Along.OUTSIDE),
    ],
)
def test_five_and_ten_percent_of_the_length(x_mm: int, along: Along) -> None:
    gravity = gravity_of(INTERIOR, [piece(1000, x_mm)])
    assert gravity is not None
    assert gravity.along is along


def test_across_and_in_height() -> None:
    even = gravity_of(INTERIOR, [piece(1000, 3000, at_mm=(2999, 600, 500))])
    high = gravity_of(INTERIOR, [piece(1000, 3000, at_mm=(2999, 601, 501))])
    assert even is not None
    assert (even.across_passes, even.height_passes) == (True, True)
    assert high is not None
    assert (high.across_passes, high.height_passes) == (False, False)


def test_a_piece_on_the_line_counts_on_both_sides() -> None:
    gravity = gravity_of(INTERIOR, [piece(900, 2500, length_mm=2000)])
    assert gravity is not None
    assert gravity.half_share == Fraction(3, 4)


def test_an_empty_truck_has_no_centre() -> None:
    assert gravity_of(INTERIOR, ()) is None
