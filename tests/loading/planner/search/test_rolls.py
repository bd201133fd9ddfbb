"""Rolled pads and what rests on them, in loads made by hand."""

import numpy as np
import pytest

from loading.planner.search.arrays import (
    BOXES,
    FIXED,
    IN_TRUCK,
    ITEM,
    ROLLS,
    S_CONTACTS,
    X0,
    Z1,
    Goods,
    State,
    new_desk,
    new_state,
)
from loading.planner.search.goods import goods_of
from loading.planner.search.rolls import NEVER, REST, slot_for
from loading.planner.search.support import LEVELLED, rest_on
from loading.planner.search.warming import tiny_request

CARTON, OTHER = 0, 1
ROLL = (0, 400, 0, 300, 0, 100)  # x0, x1, y0, y1, z0, z1


@pytest.fixture
def goods() -> Goods:
    return goods_of(tiny_request())[0]


def _with_box(goods: Goods, item: int, at: tuple[int, int, int], size: tuple[int, ...]) -> State:
    state = new_state(goods, 4)
    state.box[0, X0 : Z1 + 1] = [*at, *(a + s for a, s in zip(at, size, strict=True))]
    state.box[0, ITEM] = item
    if item >= 0:
        state.where[item] = IN_TRUCK
    state.tally[BOXES] = 1
    return state


@pytest.mark.parametrize(
    ("above_mm", "free"), [(0, False), (REST, False), (REST + 1, True), (300, True)]
)
def test_no_roll_goes_where_a_piece_would_come_to_rest_on_it(
    goods: Goods, above_mm: int, free: bool
) -> None:
    state = _with_box(goods, CARTON, (100, 100, 100 + above_mm), (480, 480, 420))
    assert slot_for(state, 0, 0, -1, *ROLL) == (NEVER if free else -1)


def test_a_roll_beside_a_piece_of_its_own_height_is_free(goods: Goods) -> None:
    state = _with_box(goods, CARTON, (400, 0, 0), (480, 480, 420))
    assert slot_for(state, 0, 0, -1, *ROLL) == 0  # before what stands toward the doors


def test_nothing_rests_on_rolls_of_which_it_is_not_known_what_they_lie_on(goods: Goods) -> None:
    desk, tops = new_desk(goods, 4), np.array([0], np.int64)
    place = (0, 480, 0, 480, 100, -1)  # x, x1, y, y1, z, host
    for item, rests in ((CARTON, True), (ROLLS, False)):
        state = _with_box(goods, item, (0, 0, 0), (480, 480, 100))
        on = rest_on(goods, state, desk, tops, 1, OTHER, *place)
        assert (on == 480 * 480) is rests
        assert (on < 0) is not rests


@pytest.mark.parametrize(
    ("given", "lies_on", "carries"),
    [(True, 1, True), (False, 1, False), (True, 2, False), (True, 0, False)],
    ids=["a bed", "a roll of the search", "on two tops", "on nothing known"],
)
def test_a_bed_that_was_laid_before_the_search_carries_what_it_was_meant_for(
    goods: Goods, given: bool, lies_on: int, carries: bool
) -> None:
    wide = 480 // max(1, lies_on)
    state = new_state(goods, 4)
    for b in range(lies_on):
        state.box[b, X0 : Z1 + 1] = [0, b * wide, 0, 480, (b + 1) * wide, 420]
        state.box[b, ITEM] = CARTON
    state.box[lies_on, X0 : Z1 + 1] = [0, 0, 420, 480, 480, 480]
    state.box[lies_on, ITEM] = ROLLS
    state.tally[BOXES] = lies_on + 1
    state.tally[FIXED] = lies_on + 1 if given else 0
    desk, tops = new_desk(goods, 4), np.arange(lies_on + 1)

    on = rest_on(goods, state, desk, tops, lies_on + 1, OTHER, 0, 480, 0, 480, 480, -1)

    assert (on == 480 * 480) is carries
    assert (on < 0) is not carries
    assert list(desk.under[: desk.spot[S_CONTACTS]]) == ([0] if carries else [])


@pytest.mark.parametrize(("thick", "carries"), [(LEVELLED, True), (LEVELLED + 1, False)])
def test_no_roll_thicker_than_a_bed_may_be_carries_a_piece(
    goods: Goods, thick: int, carries: bool
) -> None:
    on = _on_given_roll(goods, (0, 0, 420, 480, 480, 420 + thick))
    assert (on == 480 * 480) is carries
    assert (on < 0) is not carries


def test_where_a_bed_reaches_beyond_what_it_lies_on_nothing_rests(goods: Goods) -> None:
    """The piece is as wide as the roll, of which the carton is under five sixths."""
    assert _on_given_roll(goods, (0, 0, 420, 576, 480, 480)) == 480 * 480
    assert _on_given_roll(goods, (0, 0, 420, 700, 480, 480)) < 0


def _on_given_roll(goods: Goods, roll: tuple[int, ...]) -> float:
    """How much (mm2) of a piece as large as a roll rests by way of it on the carton below."""
    state = _with_box(goods, CARTON, (0, 0, 0), (480, 480, 420))
    state.box[1, X0 : Z1 + 1] = roll
    state.box[1, ITEM] = ROLLS
    state.tally[BOXES] = state.tally[FIXED] = 2
    place = (roll[0], roll[3], roll[1], roll[4], roll[5], -1)
    return rest_on(goods, state, new_desk(goods, 4), np.arange(2), 2, OTHER, *place)
