"""What pieces are found to cost in truck length, from loads made by hand."""

import numpy as np
import pytest

from loading.planner.search.arrays import BOXES, IN_TRUCK, ITEM, LENGTH, X1, Goods, State, new_state
from loading.planner.search.costs import Costs
from loading.planner.search.goods import goods_of
from loading.planner.search.warming import tiny_request

DENSE = 0.5


@pytest.fixture
def goods() -> Goods:
    return goods_of(tiny_request())[0]


def _load(goods: Goods, reach_mm: int, *pieces: int) -> State:
    """A load of these pieces whose whole face reaches so far."""
    state = new_state(goods, 8)
    state.face[:, :] = reach_mm
    for n, piece in enumerate(pieces):
        state.box[n, ITEM], state.box[n, X1] = piece, reach_mm
        state.where[piece] = IN_TRUCK
    state.tally[BOXES], state.tally[LENGTH] = len(pieces), reach_mm
    return state


def test_before_any_load_the_volume_says_what_a_piece_costs(goods: Goods) -> None:
    costs = Costs(goods, goods.volume.astype(float))
    assert costs.prices(DENSE).tolist() == [1.0, 1.0]
    face = int(goods.interior[1]) * int(goods.interior[2])
    assert costs.lengths(DENSE)[0] == pytest.approx(goods.volume[0] / face / DENSE)


def test_each_tier_s_length_is_shared_out_by_volume(goods: Goods) -> None:
    alike = np.array([1e8, 1e8])
    costs = Costs(goods, alike)
    costs.learn([_load(goods, 0), _load(goods, 400, 0), _load(goods, 1600, 0, 1)], DENSE)
    assert costs.lengths(DENSE) == pytest.approx([400, 1200], abs=40)  # reach goes by 20 mm
    together = Costs(goods, alike)
    together.learn([_load(goods, 0), _load(goods, 1600, 0, 1)], DENSE)
    assert together.lengths(DENSE) == pytest.approx([800, 800], abs=40)


def test_what_juts_out_costs_that_length_besides(goods: Goods) -> None:
    costs = Costs(goods, np.array([1e8, 1e8]))
    end = _load(goods, 1000, 0, 1)
    end.box[1, X1] = end.tally[LENGTH] = 3000
    costs.learn([_load(goods, 0), end], DENSE)
    first, second = costs.lengths(DENSE)
    assert first == pytest.approx(500, abs=40)
    assert second == pytest.approx(2500, abs=80)
