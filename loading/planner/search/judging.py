"""How good a finished load is: what the scales say, then what is left off, then length and pads."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from loading.planner.reserve import estimated_tags, first_far, grows_mm
from loading.planner.search.arrays import (
    BOXES,
    IN_TRUCK,
    ITEM,
    KILOS,
    LENGTH,
    MOMENT,
    PADS,
    SLACK,
    TIER,
    X0,
    X1,
    Goods,
    Longs,
    State,
)
from loading.planner.search.former import reach_mm

MOVED_MM, MORE_MOVED_MM, MANY = 10.0, 1000.0, 0.2  # truck length for a piece that moves
# Where a better plan is looked for: what it counts if all pieces that are left move, and more if
# many do, as shares of the truck length that they take in the former plan.
ALL_MOVED, MANY_MOVED = 0.03, 0.02
OFF_CENTRE = 0.048  # the contract's 5 % of the width, with a little kept
TILT = 4.0  # mm of length for each mm off the middle beyond half of that
Bools = np.ndarray[Any, np.dtype[np.bool_]]
Key = tuple[float, ...]
LEFT = 2  # the entry of a key that counts what is left off; with what is before it no load may go
PRICE = 4  # the entry of a key that is a length; those before it are 0 if nothing is amiss


def judge_of(
    request: LoadRequest,
    goods: Goods,
    former: LoadPlan | None = None,
    *,
    improve: bool = False,
    borne: int = 0,
) -> Callable[[State], Key]:
    """A key that is smaller for the better load.

    People have begun to work from a former plan: a piece that changes its tier has to save a
    little length, and much where more than a fifth of those that are left do; where a better plan
    is asked for (`improve`), not as much. What is only estimated counts as long as it may turn out.
    So many given pieces as are `borne` may be loose.
    """
    leaving = goods.stays == 0
    index = {item.tag: k for k, item in enumerate(request.items)}
    tiers = np.zeros(len(leaving), np.int64)
    for place in former.placements if former else ():
        if place.tag in index:
            tiers[index[place.tag]] = place.tier

    for place in request.progress.placements if request.progress else ():
        if place.tag in index:
            tiers[index[place.tag]] = 0  # it stands where it stands
    waiting = int((leaving & (tiers > 0)).sum())
    rest_mm = _rest_mm(request, former) if former else 0

    def moving_mm(state: State) -> float:
        moved = _moved(state, tiers)
        if improve:
            share = moved / max(1, waiting)
            return rest_mm * (ALL_MOVED * share + MANY_MOVED * (share > MANY))
        return MOVED_MM * moved + MORE_MOVED_MM * max(0.0, moved - MANY * waiting)

    known = estimated_tags(request)
    estimated = np.array([item.tag in known for item in request.items])
    far = first_far(request)

    def judge(state: State) -> Key:
        left = leaving & (state.where != IN_TRUCK)
        return (
            max(0.0, float(state.tally[SLACK]) - borne),
            overweight(request, state),
            float(left.sum()),
            float(goods.volume[left].sum()),
            float(state.tally[LENGTH])
            + _reserve(state, estimated, far)
            + (moving_mm(state) if former else 0.0),
            float(state.tally[PADS]),
        )

    return judge


def _reserve(state: State, estimated: Bools, far: int) -> int:
    """How much longer (mm) a load may turn out; see `loading.planner.reserve`."""
    boxes = state.box[: int(state.tally[BOXES])]
    pieces = boxes[(boxes[:, ITEM] >= 0) & (boxes[:, TIER] >= far)]
    guessed = pieces[estimated[pieces[:, ITEM]]]
    grows = 0
    for tier in np.unique(guessed[:, TIER]):
        begin = int(pieces[pieces[:, TIER] == tier, X0].min())
        grows += grows_mm(int(guessed[guessed[:, TIER] == tier, X1].max()) - begin)
    return grows


def _rest_mm(request: LoadRequest, former: LoadPlan) -> int:
    """The truck length that a former plan needs for what is not loaded yet."""
    begun = request.progress.placements if request.progress else ()
    loaded = max((place.at_mm[0] + place.size_mm[0] for place in begun), default=0)
    return max(0, reach_mm(former) - loaded)


def _moved(state: State, tiers: Longs) -> float:
    """How many pieces stand in another tier than in a former plan."""
    boxes = state.box[: int(state.tally[BOXES])]
    pieces = boxes[boxes[:, ITEM] >= 0]
    before = tiers[pieces[:, ITEM]]
    return float(((before != pieces[:, TIER]) & (before > 0)).sum())


def tilt(goods: Goods, state: State) -> float:
    """Truck length (mm) that a load on its way counts more for lying off the middle.

    Judged by what it comes to if all else that leaves lies evenly: heavy pieces along one wall are
    seldom made up for at the doors.
    """
    all_g = max(1, int(goods.weight[goods.stays == 0].sum()))
    off = abs(int(state.tally[MOMENT])) / 2 / all_g
    return TILT * max(0.0, off - OFF_CENTRE * float(goods.interior[1]) / 2)


def overweight(request: LoadRequest, state: State) -> float:
    """By how much (g, and g times mm off the middle) a load breaks R12; 0 if not."""
    load_g = int(state.tally[KILOS])
    if load_g == 0:
        return 0.0
    boxes = state.box[: int(state.tally[BOXES])]
    pieces = boxes[boxes[:, ITEM] >= 0]
    weights = np.array([item.weight_g for item in request.items])[pieces[:, ITEM]]
    front, rear = request.truck.supports
    middle = (pieces[:, X0] + pieces[:, X1]) / 2 - front.x_mm
    on_rear = float((weights * middle).sum()) / (rear.x_mm - front.x_mm)
    over = max(0.0, load_g - request.truck.payload_g)
    for support, added in ((front, load_g - on_rear), (rear, on_rear)):
        gross = support.tare_g + added
        over += max(0.0, gross - support.limit_g) + max(0.0, -gross)
    if load_g * 4 > request.truck.payload_g:
        off = abs(int(state.tally[MOMENT])) / 2 / load_g
        over += max(0.0, off - OFF_CENTRE * request.truck.interior_mm[1]) * 100
    return over
