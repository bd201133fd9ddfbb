"""One measure at the end of a tier corrects what was estimated in it."""

from hypothesis import given
from hypothesis import strategies as st

from loading.planner.fitting import Correction, FaceDepth, FreeWidth, corrected
from tests.loading.planner.fitting.trucks import broken_of, piece, place, request_of, standing_of

REQUEST = request_of(
    piece("A", (500, 300, 400)), piece("B", (500, 300, 400)), piece("C", (500, 300, 400))
)
A = place("A", (0, 0, 0), (500, 300, 400))
B = place("B", (0, 300, 0), (500, 300, 400))
C = place("C", (0, 300, 400), (500, 300, 400), level="middle")
TIER = standing_of(REQUEST, A, B, C)


def test_a_free_width_shifts_the_piece_and_what_stands_on_it() -> None:
    found = corrected(TIER, {"B", "C"}, FreeWidth("B", "right", 350))

    assert found.left_mm == 0
    assert {p.tag: p.at_mm for p in found.placements} == {"B": (0, 350, 0), "C": (0, 350, 400)}


def test_a_free_width_on_the_left_shifts_to_the_right() -> None:
    found = corrected(TIER, {"B", "C"}, FreeWidth("B", "left", 25))

    assert {p.tag: p.at_mm[1] for p in found.placements} == {"B": 325, "C": 325}


def test_a_piece_pushes_its_neighbour_along() -> None:
    row = standing_of(
        REQUEST, place("A", (0, 100, 0), (500, 300, 400)), place("B", (0, 400, 0), (500, 300, 400))
    )

    found = corrected(row, {"A", "B"}, FreeWidth("A", "left", 150))

    assert {p.tag: p.at_mm[1] for p in found.placements} == {"A": 150, "B": 450}


def test_a_confirmed_piece_stays_and_the_difference_is_told() -> None:
    assert corrected(TIER, {"C"}, FreeWidth("B", "right", 350)) == Correction((), 50)
    # A is confirmed: B can move only to the right, or its size is wrong.
    assert corrected(TIER, {"B", "C"}, FreeWidth("B", "right", 450)) == Correction((), 50)


def test_a_measure_that_agrees_changes_nothing() -> None:
    assert corrected(TIER, {"A", "B", "C"}, FreeWidth("B", "right", 400)) == Correction((), 0)
    assert corrected(TIER, {"A", "B", "C"}, FaceDepth(1, 500)) == Correction((), 0)


def test_the_depth_of_the_face_shifts_the_foremost() -> None:
    request = request_of(piece("A", (500, 300, 400)), piece("B", (500, 300, 400)))
    tier = standing_of(
        request, place("A", (0, 0, 0), (500, 300, 400)), place("B", (40, 300, 0), (500, 300, 400))
    )

    nearer = corrected(tier, {"B"}, FaceDepth(1, 520))
    farther = corrected(tier, {"B"}, FaceDepth(1, 600))

    assert [p.at_mm for p in nearer.placements] == [(20, 300, 0)]
    assert [p.at_mm for p in farther.placements] == [(100, 300, 0)]


def test_an_unknown_piece_is_no_measure() -> None:
    assert corrected(TIER, {"A"}, FreeWidth("Z", "left", 3)) == Correction((), 0)


@given(
    st.sampled_from(["A", "B", "C"]),
    st.sampled_from(["left", "right"]),
    st.integers(0, 700),
    st.sets(st.sampled_from(["A", "B", "C"])),
)
def test_a_correction_never_breaks_geometry(
    tag: str, side: str, width_mm: int, estimated: set[str]
) -> None:
    found = corrected(TIER, estimated, FreeWidth(tag, side, width_mm))
    changed = {p.tag: p for p in found.placements}

    assert set(changed) <= estimated
    after = [changed.get(p.tag, p) for p in (A, B, C)]
    assert {rule for rule, _ in broken_of(REQUEST, after)} & {"R2", "R3", "R4", "R8"} == set()
