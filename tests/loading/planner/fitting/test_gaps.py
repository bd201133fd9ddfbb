"""The free box about a point of the face."""

import pytest

from loading.planner.fitting import Gap, gap_at, gap_beside, gap_measured, gap_within
from tests.loading.planner.fitting.trucks import piece, place, request_of, standing_of

A = place("A", (0, 0, 0), (500, 300, 400))
B = place("B", (0, 600, 0), (500, 400, 600))
REQUEST = request_of(
    piece("A", (500, 300, 400)),
    piece("B", (500, 400, 600)),
    piece("C", (500, 400, 300), openings=[{"at_mm": [50, 50, 0], "size_mm": [400, 300, 200]}]),
)
TIER = standing_of(REQUEST, A, B)


def test_a_gap_between_two_pieces_reaches_from_deck_to_roof() -> None:
    assert gap_at(TIER, 450, 100) == Gap(1, (500, 300, 1000), (0, 300, 0), 2500)


def test_a_gap_above_the_lower_piece_is_as_wide_as_the_room_at_that_height() -> None:
    assert gap_at(TIER, 150, 500) == Gap(1, (500, 600, 600), (0, 0, 400), 2500)


def test_a_gap_above_all_is_as_wide_as_the_truck() -> None:
    assert gap_at(TIER, 150, 700) == Gap(1, (500, 1000, 400), (0, 0, 600), 2500)


def test_before_the_front_of_the_tier_a_gap_is_as_deep_as_the_tier_may_get() -> None:
    assert gap_at(TIER, 150, 100) == Gap(1, (2000, 1000, 1000), (500, 0, 0), 2000)


def test_there_is_no_gap_outside_the_truck_or_where_the_doors_are_reached() -> None:
    long = standing_of(
        request_of(piece("A", (3000, 1000, 900))), place("A", (0, 0, 0), (3000, 1000, 900))
    )

    assert gap_at(TIER, 1000, 0) is None
    assert gap_at(TIER, 0, -1) is None
    assert gap_at(long, 10, 10) is None


@pytest.mark.parametrize(
    ("tag", "side", "at_mm", "size_mm"),
    [
        ("A", "right", (0, 300, 0), (500, 300, 1000)),
        ("B", "left", (0, 300, 0), (500, 300, 1000)),
        ("B", "above", (0, 0, 600), (500, 1000, 400)),
        ("A", "before", (500, 0, 0), (2000, 1000, 1000)),
    ],
)
def test_beside_a_piece(
    tag: str, side: str, at_mm: tuple[int, int, int], size_mm: tuple[int, int, int]
) -> None:
    gap = gap_beside(TIER, tag, side)

    assert gap is not None
    assert (gap.at_mm, gap.size_mm) == (at_mm, size_mm)


def test_there_is_none_at_the_wall_nor_beside_what_is_not_there() -> None:
    assert gap_beside(TIER, "A", "left") is None
    assert gap_beside(TIER, "C", "left") is None
    assert gap_beside(TIER, "A", "under") is None
    assert gap_beside(TIER, "A", "inside") is None


def test_an_opening_is_a_gap_of_its_own() -> None:
    table = standing_of(REQUEST, place("C", (0, 0, 0), (500, 400, 300)))

    assert gap_beside(table, "C", "inside") == Gap(1, (400, 300, 200), (50, 50, 0), 400, "C")


def test_a_measured_gap_is_found_on_the_face() -> None:
    gap = gap_measured(TIER, (480, 290, 950))

    assert gap == Gap(1, (480, 290, 950), (0, 300, 0), 480)


def test_a_measured_gap_that_is_not_on_the_face_has_no_place() -> None:
    assert gap_measured(TIER, (480, 200, 200)) == Gap(1, (480, 200, 200), None, 480)


def test_a_tape_makes_a_gap_smaller_but_never_larger_than_what_stands_there_leaves() -> None:
    gap = gap_at(TIER, 450, 100)
    assert gap is not None

    assert gap_within(gap, (600, 280, 1200)).size_mm == (600, 280, 1000)
