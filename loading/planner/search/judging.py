"""How good a finished load is: what is left off, then what the scales say, then length and pads."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from loading.planner.request import LoadRequest
from loading.planner.search.arrays import (
    BOXES,
    IN_TRUCK,
    ITEM,
    KILOS,
    LENGTH,
    MOMENT,
    PADS,
    X0,
    X1,
    Goods,
    State,
)

OFF_CENTRE = 0.048  # the contract's 5 % of the width, with a little kept
Key = tuple[float, ...]


def judge_of(request: LoadRequest, goods: Goods) -> Callable[[State], Key]:
    """A key that is smaller for the better load."""
    leaving = goods.stays == 0

    def judge(state: State) -> Key:
        left = leaving & (state.where != IN_TRUCK)
        return (
            float(left.sum()),
            overweight(request, state),
            float(goods.volume[left].sum()),
            float(state.tally[LENGTH]),
            float(state.tally[PADS]),
        )

    return judge


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
