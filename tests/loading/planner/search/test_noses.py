"""How far pieces travel toward the nose by the search: as far as by the checker."""

from dataclasses import replace

import numpy as np
import pytest

from loading.planner.checker import check_plan
from loading.planner.plan import LoadPlan, Placement, Size, Step
from loading.planner.request import LoadRequest, Opening, Progress
from loading.planner.search.arrays import (
    BOXES,
    ITEM,
    NEAR,
    NOSE,
    S_NOSE,
    S_X,
    TIERS,
    X0,
    State,
    new_desk,
)
from loading.planner.search.drawing import PLAIN
from loading.planner.search.goods import empty_truck, goods_of
from loading.planner.search.place import try_place
from loading.planner.search.start import begun_of, start_of
from loading.planner.search.step import hole_at
from loading.planner.search.tier import DEEPEST, REACH_BACK, open_desk, set_down
from loading.planner.search.warming import tiny_request

OFF = 100  # mm that the table stands off the nose
LOW: Size = (OFF, 480, 60)
TABLE: Size = (600, 1200, 700)
GUEST: Size = (600, 480, 420)
BEHIND: Size = (480, 1200, 700)
# The low piece is enough to hold the carton under the table, and too little for the table.
PLACES = (
    Placement("000", 1, "base", (0, 300, 0), LOW, "standing"),
    Placement("001", 1, "base", (OFF, 0, 0), TABLE, "standing"),
    Placement("002", 1, "base", (OFF, 300, 0), GUEST, "standing", inside="001"),
    Placement("003", 1, "base", (OFF + TABLE[0], 0, 0), BEHIND, "standing"),
)


def _loaded(count: int) -> LoadRequest:
    """A carton under a table and a piece right behind both, so many of all pieces loaded."""
    carton = tiny_request().items[0]
    room = (Opening((0, 50, 0), (600, 1100, 600)),)
    items = (
        replace(carton, tag="000", size_mm=LOW, carton=False),
        replace(carton, tag="001", size_mm=TABLE, carton=False, openings=room),
        replace(carton, tag="002", size_mm=GUEST),
        replace(carton, tag="003", size_mm=BEHIND),
    )
    places = PLACES[:count]
    steps = tuple(Step(do, tag=place.tag) for place in places for do in ("fetch", "load"))
    progress = Progress(steps, places, ())
    return replace(tiny_request(), items=items, vaults=(), progress=progress)


def _begun(request: LoadRequest) -> State:
    goods, turns = goods_of(request)
    empty = empty_truck(request, goods)
    return start_of(request, goods, turns, empty, begun_of(request))


def test_what_rides_in_an_opening_holds_no_given_piece() -> None:
    request = _loaded(4)
    assert request.progress is not None

    state = _begun(request)

    travels = {
        int(row[ITEM]): int(row[X0] - row[NOSE]) for row in state.box[: int(state.tally[BOXES])]
    }
    assert (travels[0], travels[1], travels[3]) == (0, OFF, OFF)
    plan = LoadPlan(request.name, request.progress.steps, PLACES, ())
    assert check_plan(request, plan).figures["nose_travel"] == [OFF, OFF]


@pytest.mark.parametrize("guest", [False, True], ids=["table", "table and carton"])
def test_what_rides_in_an_opening_holds_no_new_piece(*, guest: bool) -> None:
    request = _loaded(2)
    goods, _turns = goods_of(request)
    state, desk = _begun(request), new_desk(goods, 20)
    state.tally[TIERS] += 1
    bounds = np.array([0, DEEPEST, DEEPEST, 1000, 0, 0, REACH_BACK], np.int64)
    open_desk(goods, state, desk, bounds, 2)

    def tried(item: int, y: int, host: int) -> float:
        near, n = desk.near, desk.used[NEAR]
        return float(try_place(goods, state, desk, near, n, near, n, item, 0, y, 0, host, PLAIN))

    if guest:
        assert hole_at(goods, state, desk, 1, 300, 0, GUEST[1])
        assert tried(2, 300, 1) > 0
        set_down(goods, state, desk, 2, 0, 300, 0, 1)
    assert tried(3, 0, -1) > 0
    assert desk.spot[S_X] == OFF + TABLE[0]
    assert desk.spot[S_X] - desk.spot[S_NOSE] == OFF
