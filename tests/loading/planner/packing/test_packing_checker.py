"""The checker finds every kind of broken rule in otherwise valid packings."""

import pytest

from loading.planner.packing.checker import broken_rules
from loading.planner.packing.problem import BoxType, Instance

BOX = BoxType((4, 3, 2), (False, False, True), 3)
TALL = BoxType((4, 3, 2), (True, True, True), 1)
INSTANCE = Instance("tiny", 1, (8, 6, 4), (BOX, TALL))

FLOOR = (0, 0, 0, 0, 4, 3, 2)
BESIDE = (0, 4, 0, 0, 4, 3, 2)
ABOVE = (0, 0, 0, 2, 4, 3, 2)


def test_a_stack_and_a_neighbour_break_nothing() -> None:
    assert broken_rules(INSTANCE, [FLOOR, BESIDE, ABOVE], full_support=True) == []


def test_nothing_placed_breaks_nothing() -> None:
    assert broken_rules(INSTANCE, [], full_support=True) == []


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ((0, 5, 0, 0, 4, 3, 2), "outside"),
        ((0, 0, 4, 0, 4, 3, 2), "outside"),
        ((0, 0, 0, 3, 4, 3, 2), "outside"),
        ((0, -1, 0, 0, 4, 3, 2), "outside"),
        ((0, 0, 0, 0, 2, 3, 4), "may not lie so"),
        ((0, 0, 0, 0, 4, 3, 3), "may not lie so"),
        ((2, 0, 0, 0, 4, 3, 2), "no type 2"),
        ((-1, 0, 0, 0, 4, 3, 2), "no type -1"),
        ((0, 0, 0, 0, 4, 3), "seven whole numbers"),
        ((0, 0, 0, 0.0, 4, 3, 2), "seven whole numbers"),
    ],
)
def test_a_row_that_cannot_be(row: tuple[int, ...], said: str) -> None:
    (fault,) = broken_rules(INSTANCE, [row], full_support=False)
    assert said in fault


def test_the_walls_may_be_touched_but_not_passed() -> None:
    corner = (0, 4, 3, 2, 4, 3, 2)
    assert broken_rules(INSTANCE, [corner], full_support=False) == []


def test_a_type_may_lie_only_on_allowed_edges() -> None:
    upright = (1, 0, 0, 0, 2, 3, 4)
    assert broken_rules(INSTANCE, [upright], full_support=True) == []


def test_overlap_by_one_unit() -> None:
    (fault,) = broken_rules(INSTANCE, [FLOOR, (0, 3, 0, 0, 4, 3, 2)], full_support=False)
    assert fault == "boxes 0 and 1 overlap"


def test_more_boxes_than_given() -> None:
    rows = [FLOOR, BESIDE, ABOVE, (0, 4, 0, 2, 4, 3, 2)]
    (fault,) = broken_rules(INSTANCE, rows, full_support=True)
    assert fault == "type 0: 4 boxes placed, 3 given"


@pytest.mark.parametrize(
    "hanging",
    [
        (0, 0, 0, 1, 4, 3, 2),
        (0, 1, 0, 2, 4, 3, 2),
        (0, 0, 1, 2, 4, 3, 2),
    ],
)
def test_a_base_that_is_not_wholly_supported(hanging: tuple[int, ...]) -> None:
    rows = [(0, 0, 0, 0, 4, 3, 2), hanging] if hanging[3] == 2 else [hanging]
    assert broken_rules(INSTANCE, rows, full_support=False) == []
    (fault,) = broken_rules(INSTANCE, rows, full_support=True)
    assert "of its base of 12" in fault


def test_two_tops_of_one_height_support_together() -> None:
    bridge = (0, 2, 0, 2, 4, 3, 2)
    assert broken_rules(INSTANCE, [FLOOR, BESIDE, bridge], full_support=True) == []
