"""Lengths and weights in the reader's units; the factors are those of NIST SP 811 (from memory)."""

import pytest

from loading.measures import area, length, sizes, weight


@pytest.mark.parametrize(
    ("length_mm", "told"),
    [
        (0, "0 in"),
        (13, "½ in"),
        (25, "1 in"),
        (38, "1½ in"),
        (305, "1 ft 0 in"),
        (1816, "5 ft 11½ in"),
    ],
)
def test_lengths_in_feet_and_inches_to_the_half(length_mm, told):
    assert length(length_mm, "imperial") == told


def test_lengths_in_centimetres():
    assert length(1816, "metric") == "182 cm"


def test_sizes_are_told_together():
    assert sizes((500, 254, 1000), "metric") == "50 cm \u00d7 25 cm \u00d7 100 cm"


def test_weights():
    assert weight(12_540, "metric") == "12.5 kg"
    assert weight(45_359, "imperial") == "100 lb"


def test_areas():
    assert area(4_460_000, "metric") == "4.5 m\u00b2"
    assert area(929_030, "imperial") == "10 sq ft"
