"""Rolled pads that close a gap, by the numbers of contract rule R14."""

import pytest

from loading.planner.fitting import Rolls, rolls_for


@pytest.mark.parametrize(
    ("gap_mm", "expected"),
    [
        ((500, 300, 1000), Rolls(1, (500, 300, 1000), 5, holds=True)),
        ((500, 301, 1000), Rolls(2, (500, 150, 1000), 6, holds=True)),
        ((500, 900, 500), Rolls(3, (500, 300, 500), 9, holds=True)),
        ((500, 901, 500), Rolls(4, (500, 225, 500), 8, holds=False)),
        ((500, 100, 1500), Rolls(1, (500, 100, 1500), 3, holds=True)),
        ((500, 99, 1500), Rolls(1, (500, 99, 1000), 2, holds=True)),
        ((500, 19, 500), Rolls(0, (0, 0, 0), 0, holds=True)),
        ((10, 200, 500), Rolls(0, (0, 0, 0), 0, holds=False)),
    ],
)
def test_rolls_side_by_side(gap_mm: tuple[int, int, int], expected: Rolls) -> None:
    assert rolls_for(gap_mm) == expected
