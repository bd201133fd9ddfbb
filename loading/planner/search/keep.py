"""A tier of a former plan built again on the load as it is now, each piece near its place."""

from __future__ import annotations

import numpy as np

from loading.planner.search.arrays import (
    BOXES,
    ITEM,
    NEAR,
    S_X,
    TIERS,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    Desk,
    Goods,
    Ints,
    Longs,
    Reals,
    State,
)
from loading.planner.search.dock import refill, within_reach
from loading.planner.search.kernel import bare, kernel
from loading.planner.search.place import TRAVEL, try_place
from loading.planner.search.rolls import overlap
from loading.planner.search.step import (
    PATIENT,
    ROUNDS,
    box_of,
    hole_at,
    restore,
    settle,
    spare_earliest,
)
from loading.planner.search.tier import (
    B_BACK,
    B_START,
    bars_far,
    build_tier,
    open_desk,
    set_down,
)
from loading.planner.search.tight import MARGIN, hold_tier, lay_rolls

# Columns of a former tier's moves; the host is an item or -1, the turn -1 where there is none now.
M_ITEM, M_TURN, M_X, M_Y, M_Z, M_HOST = range(6)
MOVE_COLUMNS = 6

STEADY_MM = 40  # so much nearer to the doors than it stood a piece is still in its place
NEARBY_MM = 260  # how far aside, up or down a piece is tried
FARTHEST_MM = 450.0  # a piece that would come to stand farther off is not kept
EDGES = 24  # positions tried along each axis


@kernel
def keep_tier(
    goods: Goods, before: State, state: State, desk: Desk, pull_order: Longs, bounds: Longs,
    weights: Reals, most_pads: int, moves: Longs, rolls: Longs, shift: int,
) -> int:  # fmt: skip
    """Add a tier of a former plan to the load `before`; how many of its pieces it got.

    `moves` (n, MOVE_COLUMNS) in their order, `rolls`: see `lay_rolls`; `shift` (mm): how much
    nearer to the doors than before the load now reaches. Without moves, a tier that was begun gets
    the rolls it lacks.
    """
    first = int(before.tally[BOXES])
    least = max(0, int(bounds[B_START] - bounds[B_BACK]) - 1000)
    loose = np.zeros(len(state.box), np.int32)
    keep = np.ones(len(moves), np.int64)
    edges = np.zeros((2, EDGES), np.int64)
    if len(moves) == 0:
        restore(before, state)
        state.tally[TIERS] += 1
        open_desk(goods, state, desk, bounds, first)
        lay_rolls(state, first, least, rolls)
        hold_tier(goods, state, desk, first, least, TRAVEL - MARGIN, most_pads, loose)
        return 0
    placed = _set_moves(
        goods, before, state, desk, pull_order, bounds, weights, moves, shift, edges
    )
    for attempt in range(ROUNDS):
        if placed == 0:
            break
        lay_rolls(state, first, least, rolls)
        if hold_tier(goods, state, desk, first, least, TRAVEL - MARGIN, most_pads, loose) == 0:
            return placed
        if attempt < PATIENT:
            spare_earliest(state, first, loose)
        for b in range(first, state.tally[BOXES]):
            for k in range(len(moves)):
                if loose[b] == 1 and moves[k, M_ITEM] == state.box[b, ITEM]:
                    keep[k] = 0
        placed = _set_moves(
            goods, before, state, desk, pull_order, bounds, weights, moves[keep == 1], shift, edges
        )
    restore(before, state)
    return 0


@kernel
def _set_moves(
    goods: Goods, before: State, state: State, desk: Desk, pull_order: Longs, bounds: Longs,
    weights: Reals, moves: Longs, shift: int, edges: Longs,
) -> int:  # fmt: skip
    restore(before, state)
    state.tally[TIERS] += 1
    open_desk(goods, state, desk, bounds, int(state.tally[BOXES]))
    refill(goods, state, pull_order)
    placed = 0
    for k in range(len(moves)):
        i, turn = moves[k, M_ITEM], moves[k, M_TURN]
        if turn < 0 or not within_reach(goods, state, i):
            continue
        host = -1
        if moves[k, M_HOST] >= 0:
            host = box_of(state, moves[k, M_HOST])
            dy = goods.size[i, turn, 1]
            if host < 0 or not hole_at(goods, state, desk, host, moves[k, M_Y], moves[k, M_Z], dy):
                continue
        if _set_near(goods, state, desk, weights, moves[k], host, moves[k, M_X] + shift, edges):
            placed += 1
            refill(goods, state, pull_order)
    if placed == 0:
        state.tally[TIERS] -= 1
    return placed


@bare
def _set_near(
    goods: Goods, state: State, desk: Desk, weights: Reals, move: Longs, host: int, x: int,
    edges: Longs,
) -> bool:  # fmt: skip
    """Set a piece down where it stood, else where it stands nearest to that; `x`: expected."""
    i, turn, y, z = move[M_ITEM], move[M_TURN], move[M_Y], move[M_Z]
    off = _off(goods, state, desk, weights, i, turn, x, y, z, y, z, host)
    if host < 0 and off > STEADY_MM:
        best_y, best_z = y, z
        ny = _edges_across(goods, state, desk, i, turn, x, y, z, edges[0])
        nz = _edges_up(goods, state, desk, i, turn, x, y, z, edges[1])
        for a in range(ny):
            for b in range(nz):
                now = _off(
                    goods, state, desk, weights, i, turn, x, y, z, edges[0, a], edges[1, b], host
                )
                if now < off:
                    off, best_y, best_z = now, edges[0, a], edges[1, b]
        y, z = best_y, best_z
    if off > FARTHEST_MM:
        return False
    near, near_n = desk.near, desk.used[NEAR]
    try_place(goods, state, desk, near, near_n, near, near_n, i, turn, y, z, host, weights)
    set_down(goods, state, desk, i, turn, y, z, host)
    return True


@bare
def _off(
    goods: Goods, state: State, desk: Desk, weights: Reals, i: int, turn: int, x: int, y: int,
    z: int, now_y: int, now_z: int, host: int,
) -> float:  # fmt: skip
    """How far (mm) piece i at (now_y, now_z) stands from its place; much where it cannot stand."""
    near, n = desk.near, desk.used[NEAR]
    if try_place(
        goods, state, desk, near, n, near, n, i, turn, now_y, now_z, host, weights
    ) <= 0.0 or bars_far(goods, state, desk, i, turn, now_y, now_z):
        return 1e9
    return max(0.0, float(desk.spot[S_X] - x)) + 0.5 * (abs(now_y - y) + abs(now_z - z))


@bare
def _edges_across(
    goods: Goods, state: State, desk: Desk, i: int, turn: int, x: int, y: int, z: int, edges: Longs
) -> int:
    """List the positions across at which the piece would touch a wall or what stands about it."""
    dx, dy, dz = goods.size[i, turn, 0], goods.size[i, turn, 1], goods.size[i, turn, 2]
    n = _note(edges, 0, y, y)
    n = _note(edges, n, 0, y)
    n = _note(edges, n, goods.interior[1] - dy, y)
    box = state.box
    for k in range(desk.used[NEAR]):
        b = desk.near[k]
        if overlap(x - TRAVEL, x + dx + TRAVEL, box[b, X0], box[b, X1]) > 0:
            if overlap(z - NEARBY_MM, z + dz + NEARBY_MM, box[b, Z0], box[b, Z1]) > 0:
                n = _note(edges, n, box[b, Y1], y)
                n = _note(edges, n, box[b, Y0] - dy, y)
    return n


@bare
def _edges_up(
    goods: Goods, state: State, desk: Desk, i: int, turn: int, x: int, y: int, z: int, edges: Longs
) -> int:
    """List the heights of the deck and the tops about the piece."""
    dx, dy = goods.size[i, turn, 0], goods.size[i, turn, 1]
    n = _note(edges, 0, z, z)
    n = _note(edges, n, 0, z)
    box = state.box
    for k in range(desk.used[NEAR]):
        b = desk.near[k]
        if overlap(x - TRAVEL, x + dx + TRAVEL, box[b, X0], box[b, X1]) > 0:
            if overlap(y - NEARBY_MM, y + dy + NEARBY_MM, box[b, Y0], box[b, Y1]) > 0:
                n = _note(edges, n, box[b, Z1], z)
    return n


@bare
def _note(edges: Longs, n: int, at: int, near: int) -> int:
    if n == len(edges) or at < 0 or abs(at - near) > NEARBY_MM:
        return n
    for k in range(n):
        if edges[k] == at:
            return n
    edges[n] = at
    return n + 1


@kernel
def fill_tier(
    goods: Goods, before: State, state: State, desk: Desk, pull_order: Longs, bounds: Longs,
    weights: Reals, seed: Longs, skip: Ints, wish: Reals, most_pads: int,
) -> int:  # fmt: skip
    """Add to the last tier, which began on `before`, what finds a place in it; its pieces."""
    first, once = int(before.tally[BOXES]), int(np.int64(1))
    placed = 0
    for b in range(first, state.tally[BOXES]):
        if state.box[b, ITEM] >= 0:
            placed += 1
    placed += build_tier(goods, state, desk, pull_order, bounds, weights, seed, skip, wish, first)
    return settle(
        goods, before, state, desk, pull_order, bounds, weights, seed, skip, wish, most_pads,
        placed, once,
    )  # fmt: skip


__all__ = ["MOVE_COLUMNS", "fill_tier", "keep_tier"]
