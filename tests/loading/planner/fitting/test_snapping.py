"""A tap on the picture of a tier becomes a place where the piece can stand."""

import pytest

from loading.planner.fitting import Reported, Snapped, snap
from tests.loading.planner.fitting.trucks import piece, place, request_of, standing_of

A = place("A", (0, 0, 0), (500, 500, 400))
REQUEST = request_of(
    piece("A", (500, 500, 400)),
    piece("B", (500, 480, 400)),
    piece("C", (300, 600, 400)),
    piece("D", (480, 480, 300), weight_kg=60),
)


def at_mm(snapped: Snapped | None) -> tuple[int, int, int] | None:
    return snapped.placement.at_mm if snapped else None


def test_a_tap_beside_a_piece_is_taken_as_touching_it() -> None:
    snapped = snap(standing_of(REQUEST, A), Reported("B", "standing", 1, y_mm=760, z_mm=230))

    assert snapped is not None
    assert snapped.placement == place("B", (0, 520, 0), (500, 480, 400))
    assert (snapped.moved_mm, snapped.against, snapped.estimated) == (30, (), True)


def test_a_tap_between_deck_and_top_goes_to_the_nearer() -> None:
    standing = standing_of(REQUEST, A)

    assert at_mm(snap(standing, Reported("B", "standing", 1, 240, 590))) == (0, 0, 400)
    assert at_mm(snap(standing, Reported("B", "standing", 1, 700, 350))) == (0, 500, 0)


def test_which_way_round_counts_if_it_was_said() -> None:
    standing = standing_of(REQUEST)

    across = snap(standing, Reported("C", "standing", 1, 300, 200, across=True))
    along = snap(standing, Reported("C", "standing", 1, 150, 200, across=False))

    assert across is not None
    assert along is not None
    assert across.placement.size_mm == (300, 600, 400)
    assert along.placement.size_mm == (600, 300, 400)


@pytest.mark.parametrize(("x_mm", "expected"), [(None, 0), (100, 0), (530, 500)])
def test_a_depth_counts_if_it_was_said(x_mm: int | None, expected: int) -> None:
    request = request_of(piece("A", (500, 500, 400)), piece("B", (500, 480, 400)))
    where = Reported("B", "standing", 1, 240, 200, x_mm)
    standing = standing_of(request, *((A,) if expected == 500 else ()))

    snapped = snap(standing, where)

    assert snapped is not None
    assert snapped.placement.at_mm == (expected, 0, 0)


def test_a_rule_that_must_have_been_broken_is_told() -> None:
    request = request_of(
        piece("A", (500, 1000, 400), bears_kg=20), piece("D", (480, 480, 300), weight_kg=60)
    )
    full = standing_of(request, place("A", (0, 0, 0), (500, 1000, 400)))

    snapped = snap(full, Reported("D", "standing", 1, 240, 560, x_mm=0))

    assert snapped is not None
    assert snapped.placement.at_mm == (0, 0, 400)
    assert [objection.rule for objection in snapped.against] == ["R5"]


def test_a_rule_is_believed_to_hold_where_a_sound_place_is_near() -> None:
    request = request_of(
        piece("A", (500, 500, 200), fragile=True), piece("D", (480, 480, 300), weight_kg=60)
    )
    standing = standing_of(request, place("A", (0, 0, 0), (500, 500, 200)))

    snapped = snap(standing, Reported("D", "standing", 1, 495, 250))

    assert snapped is not None
    assert (snapped.placement.at_mm, snapped.against) == ((0, 500, 0), ())


def test_there_may_be_no_place_at_all() -> None:
    request = request_of(piece("A", (3000, 1000, 900)), piece("B", (500, 480, 400)))
    full = standing_of(request, place("A", (0, 0, 0), (3000, 1000, 900)))

    assert snap(full, Reported("B", "standing", 1, 100, 100)) is None


def test_a_piece_reported_again_is_no_obstacle_to_itself() -> None:
    snapped = snap(standing_of(REQUEST, A), Reported("A", "standing", 1, 250, 200))

    assert (at_mm(snapped), snapped and snapped.moved_mm) == ((0, 0, 0), 0)
