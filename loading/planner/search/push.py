"""The push that shows how far pieces travel from side to side (the contract's R14).

Pieces and rolls go toward a wall in turn, nearest first, each until what it meets covers a tenth of
the face turned to it.
"""

from __future__ import annotations

from loading.planner.search.arrays import (
    BLOCKED,
    BOXES,
    FIXED,
    HOST,
    ITEM,
    ROLLS,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    Desk,
    Goods,
    Longs,
    State,
)
from loading.planner.search.kernel import bare
from loading.planner.search.place import FACE, TRAVEL, UNHELD, held_at
from loading.planner.search.rolls import ROLL_ROW, ROLL_STOP, overlap


@bare
def _line_up(state: State, desk: Desk, least: int, leftward: bool) -> tuple[int, int]:
    """List what is pushed, nearest to the wall first, and what stands fast; how many of each."""
    box, mover, fast, key = state.box, desk.mover, desk.fast, desk.key
    m, d = 0, 0
    for b in range(state.tally[BOXES]):
        if box[b, X1] <= least:
            continue
        if box[b, ITEM] == BLOCKED:
            fast[d] = b
            d += 1
        elif box[b, HOST] < 0:
            own = box[b, Y0] if leftward else -box[b, Y1]
            k = m
            while k > 0 and key[k - 1] > own:
                mover[k], key[k] = mover[k - 1], key[k - 1]
                k -= 1
            mover[k], key[k] = b, own
            m += 1
    return m, d


@bare
def _meet(state: State, desk: Desk, b: int, done: int, leftward: bool, pos: Longs) -> int:
    """List the contacts of box b with what was pushed before it; how many."""
    box, fast, row = state.box, desk.fast, desk.row
    where, rect = desk.where, desk.edge
    met = 0
    for j in range(done):
        o = fast[j]
        if overlap(box[b, X0], box[b, X1], box[o, X0], box[o, X1]) <= 1:
            continue
        if overlap(box[b, Z0], box[b, Z1], box[o, Z0], box[o, Z1]) <= 1:
            continue
        size = box[o, Y1] - box[o, Y0]
        if box[o, ITEM] == ROLLS and (size > ROLL_STOP or row[o] > ROLL_ROW):
            continue
        if leftward and box[o, Y1] <= box[b, Y0] + 1:
            where[met] = pos[o] + size
        elif not leftward and box[o, Y0] >= box[b, Y1] - 1:
            where[met] = -(pos[o] - (box[b, Y1] - box[b, Y0]))
        else:
            continue
        desk.thick[met] = row[o]
        rect[met, 0], rect[met, 2] = max(box[b, X0], box[o, X0]), min(box[b, X1], box[o, X1])
        rect[met, 1], rect[met, 3] = max(box[b, Z0], box[o, Z0]), min(box[b, Z1], box[o, Z1])
        met += 1
    return met


@bare
def push_side(
    goods: Goods, state: State, desk: Desk, least: int, leftward: bool, pos: Longs
) -> None:
    """Write into pos (boxes,) each box's y when all that reaches beyond x = `least` is pushed."""
    box, row = state.box, desk.row
    for b in range(state.tally[BOXES]):
        pos[b], row[b] = box[b, Y0], 0
    m, done = _line_up(state, desk, least, leftward)
    wide = int(goods.interior[1])
    for k in range(m):
        b = desk.mover[k]
        met = _meet(state, desk, b, done, leftward, pos)
        if box[b, ITEM] == ROLLS:
            behind = 0
            for j in range(met):
                behind = max(behind, desk.thick[j])
            row[b] = behind + box[b, Y1] - box[b, Y0]
        face = float(box[b, X1] - box[b, X0]) * (box[b, Z1] - box[b, Z0])
        stop = held_at(desk.where, desk.edge, met, FACE * face)
        slack = TRAVEL if b < state.tally[FIXED] and box[b, ITEM] >= 0 else wide
        if leftward:
            at = 0 if stop == UNHELD else int(stop)
            pos[b] = max(min(max(at, 0), box[b, Y0]), box[b, Y0] - slack)
        else:
            end = wide - (box[b, Y1] - box[b, Y0])
            at = end if stop == UNHELD else int(-stop)
            pos[b] = min(max(min(at, end), box[b, Y0]), box[b, Y0] + slack)
        desk.fast[done] = b
        done += 1


@bare
def side_travel(goods: Goods, state: State, desk: Desk, least: int) -> None:
    """Fill `desk.left` and `desk.right` with the extreme positions of every box."""
    push_side(goods, state, desk, least, True, desk.left)
    push_side(goods, state, desk, least, False, desk.right)


@bare
def worst_loose(state: State, desk: Desk, first: int, limit: int) -> int:
    """The box from `first` on that travels farthest beyond the limit and was not tried, or -1."""
    left, right, tried = desk.left, desk.right, desk.given_up
    best, most = -1, limit
    for b in range(first, state.tally[BOXES]):
        if state.box[b, ITEM] < 0 or state.box[b, HOST] >= 0 or tried[b] != 0:
            continue
        travel = right[b] - left[b]
        if travel > most:
            best, most = b, travel
    return best
