"""Which pieces fill a gap, in what order, and what is said of each."""

from dataclasses import replace
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from loading.planner.fitting import (
    Fits,
    Place,
    Play,
    Whereabouts,
    gap_at,
    gap_beside,
    gap_measured,
    what_fits,
)
from loading.planner.plan import Placement, Step
from loading.planner.request import LoadRequest, Progress
from tests.loading.planner.fitting.trucks import (
    RULES_OF_PLACES,
    broken_of,
    piece,
    place,
    progress_of,
    request_of,
    standing_of,
)

A = place("A", (0, 0, 0), (500, 300, 400))
B = place("B", (0, 600, 0), (500, 400, 600))
STAND = (piece("A", (500, 300, 400)), piece("B", (500, 400, 600)))


def fits_of(request: LoadRequest, y: int, z: int, *placements: Placement, most: int = 12) -> Fits:
    done = progress_of(request, placements)
    gap = gap_at(standing_of(request, *placements), y, z)
    assert gap is not None
    return what_fits(request, done, gap, most=most)


def test_the_piece_that_fills_the_gap_best_comes_first() -> None:
    request = request_of(
        *STAND, piece("C", (400, 250, 400)), piece("D", (500, 295, 400)), piece("E", (500, 310, 1))
    )

    fits = fits_of(request, 450, 100, A, B)

    assert [fit.tag for fit in fits.may_go] == ["D", "C"]
    assert fits.may_not == ()
    best = fits.may_go[0]
    assert (best.at_mm, best.size_mm, best.posture) == ((0, 300, 0), (500, 295, 400), "standing")
    assert best.filled == 393  # 295 of 300 mm, 400 of 1000
    assert best.play == Play(left_mm=0, right_mm=5, nose_mm=0, above_mm=600)


def test_the_posture_that_fills_best_and_may_go_is_taken() -> None:
    request = request_of(
        *STAND,
        piece("C", (290, 480, 800), postures=["standing", "on_side", "on_end"]),
        piece("D", (290, 800, 480), postures=["standing"]),
    )

    fits = fits_of(request, 450, 100, A, B)

    assert [(fit.tag, fit.posture, fit.size_mm) for fit in fits.may_go] == [
        ("C", "standing", (480, 290, 800)),
        ("D", "standing", (800, 290, 480)),
    ]


def test_a_better_piece_that_may_not_go_is_told_with_the_reason() -> None:
    request = request_of(
        piece("A", (500, 300, 400)),
        piece("B", (500, 400, 600), bears_kg=5),
        piece("C", (500, 400, 400), weight_kg=20),
        piece("D", (500, 400, 200), weight_kg=4),
    )

    fits = fits_of(request, 800, 650, A, B)

    assert [fit.tag for fit in fits.may_go] == ["D"]
    assert [(fit.tag, fit.objections[0].rule) for fit in fits.may_not] == [("C", "R5")]
    assert "bears 5.0 kg" in fits.may_not[0].objections[0].message


def test_a_piece_stands_on_what_is_in_the_middle_of_a_wide_gap() -> None:
    request = request_of(
        piece("A", (500, 300, 400)),
        piece("B", (500, 400, 600)),
        piece("C", (500, 300, 400)),
        piece("D", (500, 400, 300)),
    )
    row = (
        place("A", (0, 0, 0), (500, 300, 400)),
        place("B", (0, 300, 0), (500, 400, 600)),
        place("C", (0, 700, 0), (500, 300, 400)),
    )

    assert [fit.at_mm for fit in fits_of(request, 500, 700, *row).may_go] == [(0, 300, 600)]


def test_where_each_piece_is_now_is_told_and_counts() -> None:
    request = request_of(
        *STAND,
        *(piece(tag, (500, 290, 400)) for tag in ("C", "D", "E", "F", "G", "H")),
        vaults=[
            {"code": "V1", "lane": "A", "depth": 1, "level": 1, "items": ["C", "D", "E"]},
            {"code": "V2", "lane": "B", "depth": 1, "level": 1, "items": ["F"]},
        ],
    )
    done = progress_of(request, (A, B))
    steps = (*done.steps, Step("pull", vault="V1"), Step("unpack", tag="C"), Step("fetch", tag="H"))
    gap = gap_at(standing_of(request, A, B), 450, 100)
    assert gap is not None

    fits = what_fits(request, replace(done, steps=steps), gap)

    assert [(fit.tag, fit.where) for fit in fits.may_go] == [
        ("C", Whereabouts(Place.FLOOR)),
        ("H", Whereabouts(Place.FLOOR)),
        ("D", Whereabouts(Place.OPEN_VAULT, "V1", 0)),
        ("E", Whereabouts(Place.OPEN_VAULT, "V1", 1)),
        ("G", Whereabouts(Place.LOOSE)),
        ("F", Whereabouts(Place.VAULT, "V2", 0)),
    ]


def test_what_stays_in_storage_or_is_loaded_is_not_offered() -> None:
    request = request_of(*STAND, piece("C", (500, 290, 400), leaves=False))

    fits = fits_of(request, 450, 100, A, B)

    assert (fits.may_go, fits.may_not) == ((), ())


def test_a_full_dock_floor_keeps_pieces_in_their_vault() -> None:
    request = request_of(
        *STAND, piece("C", (500, 290, 400)), dock={"vault_spots": 1, "floor_m2": 0.1}
    )

    fits = fits_of(request, 450, 100, A, B)

    assert [objection.rule for objection in fits.may_not[0].objections] == ["R10"]


def test_a_small_piece_goes_into_an_opening() -> None:
    request = request_of(
        piece("A", (500, 500, 400), openings=[{"at_mm": [50, 50, 0], "size_mm": [400, 400, 300]}]),
        piece("C", (380, 390, 290)),
    )
    table = place("A", (0, 0, 0), (500, 500, 400))
    gap = gap_beside(standing_of(request, table), "A", "inside")
    assert gap is not None

    fits = what_fits(request, progress_of(request, (table,)), gap)

    assert [(fit.tag, fit.at_mm, fit.play) for fit in fits.may_go] == [
        ("C", (50, 50, 0), Play(left_mm=0, right_mm=10, nose_mm=0, above_mm=10)),
    ]


def test_of_a_gap_without_a_place_only_size_and_dock_are_judged() -> None:
    request = request_of(*STAND, piece("C", (180, 190, 290)))
    gap = gap_measured(standing_of(request, A, B), (200, 200, 300))

    (fit,) = what_fits(request, progress_of(request, (A, B)), gap).may_go

    assert (fit.tag, fit.at_mm, fit.play) == ("C", None, Play(0, 10, 20, 10))


def test_no_more_than_asked_for() -> None:
    request = request_of(*STAND, *(piece(f"{n}", (500, 290, 100 + n)) for n in range(20)))

    fits = fits_of(request, 450, 100, A, B, most=3)

    assert [fit.tag for fit in fits.may_go] == ["19", "18", "17"]


def test_an_empty_truck_is_one_gap() -> None:
    request = request_of(piece("C", (900, 980, 900)))
    gap = gap_at(standing_of(request), 500, 0)
    assert gap is not None

    fits = what_fits(request, Progress((), (), ()), gap)

    assert [fit.at_mm for fit in fits.may_go] == [(0, 0, 0)]


sides = st.integers(2, 8).map(lambda n: n * 50)
pieces = st.lists(
    st.fixed_dictionaries(
        {
            "size_mm": st.tuples(sides, sides, sides),
            "weight_kg": st.integers(1, 40),
            "bears_kg": st.integers(0, 60),
            "fragile": st.booleans(),
            "carton": st.booleans(),
            "level": st.sampled_from([None, None, "base", "middle", "top"]),
            "postures": st.sampled_from([["standing"], ["standing", "on_side", "on_end"]]),
        }
    ),
    min_size=2,
    max_size=9,
)


@given(
    pieces, st.lists(st.tuples(st.integers(0, 999), st.integers(0, 999)), min_size=8, max_size=8)
)
def test_whatever_may_go_breaks_no_rule(
    found: list[dict[str, Any]], taps: list[tuple[int, int]]
) -> None:
    """A truck filled by always taking the first answer: the checker finds nothing."""
    request = request_of(
        *(piece(f"{n:03}", f.pop("size_mm"), **f) for n, f in enumerate(map(dict, found)))
    )
    placements: list[Placement] = []
    for y, z in taps:
        gap = gap_at(standing_of(request, *placements), y, z)
        if gap is None:
            continue
        fits = what_fits(request, progress_of(request, placements), gap, most=1)
        for fit in fits.may_go:
            assert fit.at_mm is not None
            assert fit.level is not None
            new = Placement(fit.tag, gap.tier, fit.level, fit.at_mm, fit.size_mm, fit.posture)
            placements.append(new)
    assert {rule for rule, _ in broken_of(request, placements)} & RULES_OF_PLACES == set()
