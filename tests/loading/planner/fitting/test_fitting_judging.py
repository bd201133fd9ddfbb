"""One more piece among those that stand, judged as the checker judges the whole."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loading.planner.fitting import Judge, Standing
from loading.planner.fitting.snapping import Reported, snap
from loading.planner.plan import Placement
from loading.planner.request import LoadRequest
from tests.loading.planner.fitting.trucks import (
    broken_of,
    judge_of,
    piece,
    place,
    progress_of,
    request_of,
)

TABLE = {"openings": [{"at_mm": [50, 50, 0], "size_mm": [400, 400, 300]}]}


def rules(request: LoadRequest, new: Placement, *placements: Placement) -> set[str]:
    return {found.rule for found in judge_of(request, *placements).objections(new)}


def test_a_sound_place_meets_no_objection() -> None:
    request = request_of(piece("A", (500, 500, 400)), piece("B", (500, 500, 400)))

    assert (
        rules(
            request,
            place("B", (0, 500, 0), (500, 500, 400)),
            place("A", (0, 0, 0), (500, 500, 400)),
        )
        == set()
    )


@pytest.mark.parametrize(
    ("new", "rule"),
    [
        (place("B", (0, 0, 0), (500, 400, 500)), "R2"),
        (place("B", (0, 501, 0), (500, 500, 400)), "R3"),
        (place("B", (0, 400, 0), (500, 500, 400)), "R3"),
        (place("B", (101, 0, 400), (500, 500, 400), level="top"), "R4"),
        (place("B", (700, 0, 0), (500, 500, 400)), "R14"),
    ],
)
def test_each_rule_of_places(new: Placement, rule: str) -> None:
    request = request_of(piece("A", (500, 500, 400)), piece("B", (500, 500, 400)))

    assert rule in rules(request, new, place("A", (0, 0, 0), (500, 500, 400)))


def test_the_edges_of_the_rules() -> None:
    request = request_of(piece("A", (500, 500, 400)), piece("B", (500, 500, 400)))
    under = place("A", (0, 0, 0), (500, 500, 400))

    # 80 % of the bottom; 150 mm toward the nose
    assert rules(request, place("B", (100, 0, 400), (500, 500, 400), level="top"), under) == set()
    assert rules(request, place("B", (650, 0, 0), (500, 500, 400)), under) == set()
    assert rules(request, place("B", (651, 0, 0), (500, 500, 400)), under) == {"R14"}


@pytest.mark.parametrize(
    ("under", "upper", "expected"),
    [
        ({"bears_kg": 10}, {"weight_kg": 10}, set()),
        ({"bears_kg": 10}, {"weight_kg": 10.3}, {"R5"}),
        ({"fragile": True}, {"weight_kg": 1}, {"R5"}),
        ({"level": "middle"}, {"level": "base"}, {"R6"}),
        ({"carton": True}, {"carton": True, "weight_kg": 11}, set()),
        ({"carton": True}, {"carton": True, "weight_kg": 11.2}, {"R6"}),
        ({"stop": 1}, {"stop": 2}, {"R11"}),
        ({"stop": 2}, {"stop": 1}, set()),
        ({"last_on": True}, {}, {"R13"}),
    ],
)
def test_what_the_piece_under_it_says(
    under: dict[str, Any], upper: dict[str, Any], expected: set[str]
) -> None:
    request = request_of(piece("A", (500, 500, 400), **under), piece("B", (500, 500, 400), **upper))
    below = place("A", (0, 0, 0), (500, 500, 400), level=under.get("level", "base"))
    new = place("B", (0, 0, 400), (500, 500, 400), level=upper.get("level", "base"))

    assert rules(request, new, below) == expected


def test_what_stands_before_a_place_bars_it() -> None:
    request = request_of(piece("A", (500, 500, 400)), piece("B", (500, 500, 400)))

    found = rules(
        request, place("B", (0, 0, 0), (500, 500, 400)), place("A", (500, 0, 0), (500, 500, 400))
    )

    assert found == {"R7"}


def test_a_later_stop_may_not_stand_before_an_earlier_one() -> None:
    request = request_of(piece("A", (500, 500, 400), stop=1), piece("B", (500, 500, 400), stop=2))

    found = rules(
        request, place("B", (500, 0, 0), (500, 500, 400)), place("A", (0, 0, 0), (500, 500, 400))
    )

    assert found == {"R11"}


def test_weight_that_goes_through_two_pieces() -> None:
    request = request_of(
        piece("A", (500, 500, 200), bears_kg=15),
        piece("B", (500, 500, 200), weight_kg=10),
        piece("C", (500, 500, 200), weight_kg=6),
    )
    stack = (
        place("A", (0, 0, 0), (500, 500, 200)),
        place("B", (0, 0, 200), (500, 500, 200)),
    )

    found = judge_of(request, *stack).objections(place("C", (0, 0, 400), (500, 500, 200)))

    assert [objection.rule for objection in found] == ["R5"]
    assert "16.0 kg" in found[0].message


def test_a_piece_pushed_under_another_carries_its_share() -> None:
    request = request_of(
        piece("A", (500, 500, 400)),
        piece("B", (500, 1000, 100), weight_kg=30),
        piece("C", (500, 500, 395), bears_kg=10),
        piece("D", (500, 500, 400)),
    )
    bridge = (
        place("A", (0, 0, 0), (500, 500, 400)),
        place("D", (0, 500, 0), (500, 400, 400)),
        place("B", (0, 0, 400), (500, 1000, 100)),
    )

    # It would bear 15 kg of the board, once it stands where D does not.
    found = rules(request, place("C", (0, 500, 0), (500, 500, 395)), bridge[0], bridge[2])

    assert "R5" in found


def test_a_guest_rides_in_an_opening() -> None:
    request = request_of(piece("A", (500, 500, 400), **TABLE), piece("B", (300, 300, 200)))
    table = place("A", (0, 0, 0), (500, 500, 400))

    inside = place("B", (60, 60, 0), (300, 300, 200), inside="A")
    astray = place("B", (160, 160, 0), (300, 300, 200), inside="A")

    assert rules(request, inside, table) == set()
    assert rules(request, astray, table) == {"R3"}


def test_a_closed_tier_takes_no_more_pieces_and_none_gets_too_deep() -> None:
    request = request_of(
        piece("A", (500, 500, 400)), piece("B", (500, 500, 400)), piece("C", (500, 1000, 400))
    )
    first = place("A", (0, 0, 0), (500, 500, 400))
    second = place("C", (500, 0, 0), (500, 1000, 400), tier=2)

    assert rules(request, place("B", (1000, 0, 0), (500, 500, 400)), first, second) == {"R9"}
    assert "R9" in rules(request, place("B", (2450, 0, 0), (500, 500, 400)), first)


def test_weight_over_the_payload_and_over_a_support() -> None:
    request = request_of(
        piece("A", (500, 500, 400), weight_kg=4990),
        piece("B", (500, 500, 400), weight_kg=20),
    )

    found = rules(
        request, place("B", (0, 500, 0), (500, 500, 400)), place("A", (0, 0, 0), (500, 500, 400))
    )

    assert found == {"R12"}


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
            "stop": st.sampled_from([1, 1, 2]),
            "last_on": st.sampled_from([False, False, True]),
        }
    ),
    min_size=2,
    max_size=7,
)
taps = st.tuples(st.integers(0, 999), st.integers(0, 999))


def _loaded(request: LoadRequest, where: list[tuple[int, int]]) -> list[Placement]:
    """The pieces where taps put them; a piece that finds no place stays behind."""
    placements: list[Placement] = []
    for known, (y, z) in zip(request.items, where, strict=False):
        standing = Standing.of(request, progress_of(request, placements))
        snapped = snap(standing, Reported(known.tag, "standing", 1, y, z))
        if snapped is not None:
            placements.append(snapped.placement)
    return placements


@given(pieces, st.lists(taps, min_size=6, max_size=6), st.data())
def test_the_checker_agrees_on_any_place(
    found: list[dict[str, Any]], where: list[tuple[int, int]], data: st.DataObject
) -> None:
    request = request_of(
        *(piece(f"{n:03}", f.pop("size_mm"), **f) for n, f in enumerate(map(dict, found)))
    )
    placements = _loaded(request, where[: len(request.items) - 1])
    last = request.items[-1]
    edges = [
        0,
        *(e for p in placements for e in p.at_mm),
        *(p.at_mm[a] + p.size_mm[a] for p in placements for a in range(3)),
    ]
    at = data.draw(st.tuples(*(st.sampled_from(edges),) * 3))
    judge = Judge(Standing.of(request, progress_of(request, placements)))
    level = judge.level_for(last, at, last.size_mm)
    new = Placement(last.tag, 1, level, at, last.size_mm, "standing")

    before = {rule for rule, _ in broken_of(request, placements)}
    more = broken_of(request, [*placements, new]) - broken_of(request, placements)
    objections = {o.rule for o in judge.objections(new)} - {"R12", "R14"}

    checked = {"R4" if rule == "R8" else rule for rule, _ in more}
    geometry = checked & {"R2", "R3", "R4", "R7"}
    if geometry or objections & {"R2", "R3", "R4", "R7"}:
        assert geometry == objections & {"R2", "R3", "R4", "R7"}
    else:
        assert objections - before == checked - before


@given(pieces, st.lists(taps, min_size=7, max_size=7))
def test_a_snapped_place_keeps_the_geometry_and_says_what_else_it_breaks(
    found: list[dict[str, Any]], where: list[tuple[int, int]]
) -> None:
    request = request_of(
        *(piece(f"{n:03}", f.pop("size_mm"), **f) for n, f in enumerate(map(dict, found)))
    )
    placements: list[Placement] = []
    for known, (y, z) in zip(request.items, where, strict=False):
        standing = Standing.of(request, progress_of(request, placements))
        snapped = snap(standing, Reported(known.tag, "standing", 1, y, z))
        if snapped is None:
            continue
        assert snapped.estimated
        before = broken_of(request, placements)
        placements.append(snapped.placement)
        broken = broken_of(request, placements) - before
        assert not {rule for rule, _ in broken} & {"R2", "R3", "R4", "R7", "R8"}
        if not snapped.against:
            assert not broken
