"""Rolled pads against play, in loads made by hand."""

import numpy as np
import pytest

from loading.planner.search.arrays import (
    BEFORE,
    BOXES,
    HOST,
    ITEM,
    NEVER,
    PADS,
    ROLLS,
    TIER,
    TIERS,
    X0,
    Z0,
    Z1,
    Desk,
    Goods,
    State,
    new_desk,
    new_state,
)
from loading.planner.search.goods import goods_of
from loading.planner.search.push import side_travel
from loading.planner.search.rolls import PAD_MM3, add_roll
from loading.planner.search.tight import LITTLE, LITTLE_PADS, hold_tier, spare_rolls
from loading.planner.search.warming import tiny_request

CARTON = (480, 540, 420)
GAP = 120  # mm that two cartons abreast leave of the small truck's width
Corner = tuple[int, int, int]
LEFT: tuple[Corner, ...] = ((0, 0, 0), (0, 0, 420))
RIGHT: tuple[Corner, ...] = ((0, 540, 0), (0, 540, 420))


@pytest.fixture
def goods() -> Goods:
    return goods_of(tiny_request())[0]


def _with_cartons(goods: Goods, *corners: Corner) -> State:
    state = new_state(goods, 12)
    for b, at in enumerate(corners):
        state.box[b, X0 : Z1 + 1] = [*at, *(a + s for a, s in zip(at, CARTON, strict=True))]
        state.box[b, [ITEM, HOST, TIER, BEFORE]] = 0, -1, 1, NEVER
    state.tally[BOXES], state.tally[TIERS] = len(corners), 1
    return state


def _rolls(state: State) -> list[int]:
    return [b for b in range(int(state.tally[BOXES])) if state.box[b, ITEM] == ROLLS]


def _travels(desk: Desk, count: int) -> list[int]:
    """How far (mm) so many boxes go from side to side."""
    return [int(desk.right[b] - desk.left[b]) for b in range(count)]


def test_a_roll_reaches_as_high_as_its_pads_allow_and_holds_what_stands_above(goods: Goods) -> None:
    state, desk = _with_cartons(goods, *LEFT, *RIGHT), new_desk(goods, 12)

    hold_tier(goods, state, desk, 0, 0, LITTLE, LITTLE_PADS, np.zeros(12, np.int32))

    (roll,) = _rolls(state)
    assert state.box[roll, Z0] == 0
    assert CARTON[2] < state.box[roll, Z1] <= PAD_MM3 / (CARTON[0] * GAP)
    assert state.tally[PADS] == 1
    assert _travels(desk, 4) == [0, 0, 0, 0]


def test_a_roll_in_the_way_of_a_piece_is_no_higher_than_it_has_to_be(goods: Goods) -> None:
    """The upper carton on the right stands by the wall, over the gap."""
    state = _with_cartons(goods, *LEFT, RIGHT[0], (0, 540 + GAP, 420))
    desk = new_desk(goods, 12)

    hold_tier(goods, state, desk, 0, 0, LITTLE, LITTLE_PADS, np.zeros(12, np.int32))

    low = [int(state.box[b, Z1]) for b in _rolls(state) if state.box[b, Z0] == 0]
    assert low
    assert max(low) < CARTON[2]


@pytest.mark.parametrize(("cartons", "left"), [((LEFT[0], RIGHT[0]), 1), ((*LEFT, *RIGHT), 2)])
def test_a_roll_that_others_have_made_needless_comes_out(
    goods: Goods, cartons: tuple[Corner, ...], left: int
) -> None:
    """Two rolls in one gap: the newest stays, the other only if it holds upper cartons as well."""
    state, desk = _with_cartons(goods, *cartons), new_desk(goods, 12)
    begun = int(state.tally[BOXES])
    for x, high in ((0, 600), (240, 200)):
        add_roll(state, x, x + 240, 2 * 540, 2 * 540 + GAP, 0, high, NEVER)
    side_travel(goods, state, desk, 0)

    spare_rolls(goods, state, desk, 0, begun, 0, LITTLE)

    assert len(_rolls(state)) == left
    assert state.tally[PADS] == left
    assert _travels(desk, begun) == [0] * begun
