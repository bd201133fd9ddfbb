"""One tier, whole: built, held, and built again without what nothing holds."""

from __future__ import annotations

import numpy as np
from numba import njit

from loading.planner.search.arrays import (
    BOXES,
    HOST,
    ITEM,
    TIERS,
    TURN,
    UNDER,
    X0,
    Y0,
    Z0,
    Goods,
    Ints,
    Longs,
    Reals,
    State,
)
from loading.planner.search.dock import refill, within_reach
from loading.planner.search.place import SPOT, put, try_place
from loading.planner.search.tier import REACH_BACK, _near, build_tier, hole_of, limits, widen
from loading.planner.search.tight import MARGIN, TRAVEL, hold_tier

ROUNDS, PATIENT = 24, 7
REFILLS = 2  # how often a tier that holds is filled up again


@njit(cache=True, nogil=True)
def restore(source: State, target: State) -> None:
    """Write one state over another."""
    used = source.count[BOXES]
    target.box[:used] = source.box[:used]
    target.under[:used] = source.under[:used]
    target.share[:used] = source.share[:used]
    target.carried[:used] = source.carried[:used]
    target.where[:] = source.where
    target.taken[:] = source.taken
    target.opened[:] = source.opened
    target.face[:, :] = source.face
    target.count[:] = source.count


@njit(cache=True, nogil=True)
def _box_of(state: State, item: int) -> int:
    for b in range(state.count[BOXES] - 1, -1, -1):
        if state.box[b, ITEM] == item:
            return b
    return -1


@njit(cache=True, nogil=True)
def _hole_at(goods: Goods, state: State, host: int, y: int, z: int, dy: int, hole: Ints) -> bool:
    """Find the opening of a host that holds a guest standing at (y, z)."""
    for h in range(goods.opening.shape[2]):
        hole_of(goods, state, host, h, hole)
        if hole[3] > 0 and y >= hole[1] and y + dy <= hole[1] + hole[4] and z >= hole[2]:
            return True
    return False


@njit(cache=True, nogil=True)
def replay(
    goods: Goods, before: State, state: State, pull_order: Longs, bounds: Longs, weights: Reals, loose: Ints
) -> int:  # fmt: skip
    """Build the last tier again from `before`, leaving out the loose pieces; how many it has."""
    first, end = int(before.count[BOXES]), int(state.count[BOXES])
    moves = np.empty((end - first, 5), np.int64)
    n = 0
    for b in range(first, end):
        if state.box[b, ITEM] < 0 or loose[b] == 1:
            continue
        host = state.box[b, HOST]
        moves[n, 0], moves[n, 1] = state.box[b, ITEM], state.box[b, TURN]
        moves[n, 2], moves[n, 3] = state.box[b, Y0], state.box[b, Z0]
        moves[n, 4] = state.box[host, ITEM] if host >= 0 else -1
        n += 1
    restore(before, state)
    state.count[TIERS] += 1
    lim = limits(goods, bounds)
    room = state.box.shape[0]
    near = np.empty(room, np.int64)
    near_n = _near(state, int(lim[0]), near)
    spot, under, share = np.zeros(SPOT, np.int64), np.zeros(UNDER, np.int64), np.zeros(UNDER)
    pos, rect, flow = np.zeros(64), np.zeros((64, 4), np.int64), np.zeros(room)
    hole = np.zeros(6, np.int32)
    refill(goods, state, pull_order)
    placed = 0
    for k in range(n):
        i, turn, y, z = moves[k, 0], moves[k, 1], moves[k, 2], moves[k, 3]
        if not within_reach(goods, state, i):
            continue
        host = -1
        if moves[k, 4] >= 0:
            host = _box_of(state, moves[k, 4])
            if host < 0 or not _hole_at(goods, state, host, y, z, goods.size[i, turn, 1], hole):
                continue
        s = try_place(
            goods, state, near, near_n, i, turn, y, z, host, hole, lim, weights,
            spot, under, share, pos, rect, flow,
        )  # fmt: skip
        if s > 0.0:
            near[near_n] = put(goods, state, i, turn, y, z, host, spot, under, share)
            widen(state, int(near[near_n]), lim)
            near_n += 1
            placed += 1
            refill(goods, state, pull_order)
    if placed == 0:
        state.count[TIERS] -= 1
    return placed


@njit(cache=True, nogil=True)
def _spare_earliest(state: State, first: int, loose: Ints) -> None:
    """Give the earlier half of the loose pieces another chance: what stood on the later half is gone."""
    count = 0
    for b in range(first, state.count[BOXES]):
        count += loose[b]
    spare = count // 2
    for b in range(first, state.count[BOXES]):
        if loose[b] == 1 and spare > 0:
            loose[b] = 0
            spare -= 1


@njit(cache=True, nogil=True)
def add_tier(
    goods: Goods, before: State, state: State, pull_order: Longs, bounds: Longs, weights: Reals,
    seed: Longs, skip: Ints, wish: Reals, most_pads: int,
) -> int:  # fmt: skip
    """Copy `before` to `state` and add one tier in which nothing is loose; how many pieces it got."""
    restore(before, state)
    placed = build_tier(goods, state, pull_order, bounds, weights, seed, skip, wish, -1)
    first = int(before.count[BOXES])
    least = max(0, int(bounds[0]) - REACH_BACK - 1000)
    loose = np.zeros(state.box.shape[0], np.int32)
    barred = skip.copy()
    refills, stripped = 0, False
    for attempt in range(ROUNDS):
        if placed == 0:
            break
        held = hold_tier(goods, state, first, least, TRAVEL - MARGIN, most_pads, loose) == 0
        if held and (refills >= REFILLS or not stripped):
            return placed
        if not held:
            if attempt < PATIENT:
                _spare_earliest(state, first, loose)
            for b in range(first, state.count[BOXES]):
                if state.box[b, ITEM] >= 0 and loose[b] == 1:
                    barred[state.box[b, ITEM]] = 1
            placed = replay(goods, before, state, pull_order, bounds, weights, loose)
            stripped = True
        elif refills < REFILLS:
            refills, stripped = refills + 1, False
            more = build_tier(goods, state, pull_order, bounds, weights, seed, barred, wish, first)
            if more == 0:
                return placed
            placed += more
    restore(before, state)
    return 0
