"""One tier, whole: built, held, and built again without what nothing holds."""

from __future__ import annotations

import numpy as np

from loading.planner.search.arrays import (
    BOXES,
    HOST,
    IN_TRUCK,
    ITEM,
    LENGTH,
    NEAR,
    PADS,
    SLACK,
    TIERS,
    TURN,
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
from loading.planner.search.kernel import kernel
from loading.planner.search.place import TRAVEL, try_place
from loading.planner.search.places import hole_of
from loading.planner.search.tier import (
    B_BACK,
    B_START,
    bars_far,
    build_tier,
    draw,
    open_desk,
    set_down,
    turn_of,
)
from loading.planner.search.tight import LITTLE, LITTLE_PADS, MARGIN, hold_tier

ROUNDS, PATIENT = 24, 7
DENSITY_HOPED = 0.64
MEAN = 0.1  # what the mean of the face counts against its reach
FARTHEST = 0.03  # share of the face that is not counted as its reach
STRIDE = 20  # mm
LEAN_MM = 500.0  # what is no farther behind the front holds the next tier
LOW_MM, LOW_SHARE = 2000.0, 0.8  # what a face without any height counts: mm, share of the rest
ROUGH = 0.8  # what each mm counts that the face steps back or forth between cells side by side
SLACK_MM = 300.0  # what a loose piece of a tier that was begun counts
LATE_MM = 40.0  # what a piece counts that others should have waited for
PAD_MM = 8.0  # what a rolled pad counts
REFILLS = 2  # how often a tier that holds is filled up again


@kernel
def restore(source: State, target: State) -> None:
    """Write one state over another."""
    used = source.tally[BOXES]
    target.box[:used] = source.box[:used]
    target.under[:used] = source.under[:used]
    target.share[:used] = source.share[:used]
    target.carried[:used] = source.carried[:used]
    target.where[:] = source.where
    target.taken[:] = source.taken
    target.opened[:] = source.opened
    target.face[:, :] = source.face
    target.tally[:] = source.tally


@kernel
def box_of(state: State, item: int) -> int:
    for b in range(state.tally[BOXES] - 1, -1, -1):
        if state.box[b, ITEM] == item:
            return b
    return -1


@kernel
def hole_at(goods: Goods, state: State, desk: Desk, host: int, y: int, z: int, dy: int) -> bool:
    """Find the opening of a host that holds a guest standing at (y, z); it is left in the desk."""
    hole = desk.hole
    for h in range(goods.opening.shape[2]):
        hole_of(goods, state, desk, host, h)
        if hole[3] > 0 and y >= hole[1] and y + dy <= hole[1] + hole[4] and z >= hole[2]:
            return True
    return False


@kernel
def replay(
    goods: Goods, before: State, state: State, desk: Desk, pull_order: Longs, bounds: Longs,
    weights: Reals, loose: Ints,
) -> int:  # fmt: skip
    """Build the last tier again from `before`, leaving out the loose pieces; how many it has."""
    first, end = int(before.tally[BOXES]), int(state.tally[BOXES])
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
    return _repeat(goods, before, state, desk, pull_order, bounds, weights, moves[:n])


@kernel
def _repeat(
    goods: Goods, before: State, state: State, desk: Desk, pull_order: Longs, bounds: Longs,
    weights: Reals, moves: Longs,
) -> int:  # fmt: skip
    """Build a tier on `before` by moves (n, 5): item, turn, y, z, host item or -1; its pieces."""
    restore(before, state)
    state.tally[TIERS] += 1
    open_desk(goods, state, desk, bounds, int(state.tally[BOXES]))
    refill(goods, state, pull_order)
    placed = 0
    for k in range(len(moves)):
        i, turn, y, z = moves[k, 0], moves[k, 1], moves[k, 2], moves[k, 3]
        if not within_reach(goods, state, i):
            continue
        host = -1
        if moves[k, 4] >= 0:
            host = box_of(state, moves[k, 4])
            if host < 0 or not hole_at(goods, state, desk, host, y, z, goods.size[i, turn, 1]):
                continue
        near, near_n = desk.near, desk.used[NEAR]
        s = try_place(goods, state, desk, near, near_n, near, near_n, i, turn, y, z, host, weights)
        if s > 0.0 and not bars_far(goods, state, desk, i, turn, y, z):
            set_down(goods, state, desk, i, turn, y, z, host)
            placed += 1
            refill(goods, state, pull_order)
    if placed == 0:
        state.tally[TIERS] -= 1
    return placed


@kernel
def spare_earliest(state: State, first: int, loose: Ints) -> None:
    """Give the earlier half of the loose pieces another chance, without the later half."""
    count = 0
    for b in range(first, state.tally[BOXES]):
        count += loose[b]
    spare = count // 2
    for b in range(first, state.tally[BOXES]):
        if loose[b] == 1 and spare > 0:
            loose[b] = 0
            spare -= 1


@kernel
def face_reach(state: State) -> float:
    """How far (mm) the face reaches without its farthest part: one long piece is not yet a wall."""
    return float(MEAN * state.face.mean() + (1.0 - MEAN) * _most_reach(state))


@kernel
def _most_reach(state: State) -> float:
    cells = state.face.size
    bins = np.zeros(state.tally[LENGTH] // STRIDE + 2, np.int64)
    for value in state.face.flat:
        k = min(int(value) // STRIDE, len(bins) - 1)
        bins[k] += 1
    ahead = 0
    for k in range(len(bins) - 1, -1, -1):
        ahead += bins[k]
        if ahead > FARTHEST * cells:
            return float(k * STRIDE)
    return 0.0


@kernel
def _height(state: State, front: float) -> float:
    """How high the face stands, on average, near its front: 0 to 1.

    Nothing holds a piece back from the nose where what is behind it is lower than the piece begins:
    behind a low tier all that follow are low.
    """
    total = 0
    for c in range(state.face.shape[0]):
        for r in range(state.face.shape[1] - 1, -1, -1):
            if state.face[c, r] >= front - LEAN_MM:
                total += r + 1
                break
    return total / state.face.size


@kernel
def _roughness(state: State) -> float:
    """How far (mm) cells of the face side by side are apart on average, in its lower two thirds."""
    steps = 0
    rows = state.face.shape[1] * 2 // 3
    for c in range(state.face.shape[0] - 1):
        for r in range(rows):
            steps += abs(state.face[c, r] - state.face[c + 1, r])
    return steps / ((state.face.shape[0] - 1) * rows)


@kernel
def promise(goods: Goods, state: State, value: Reals) -> float:
    """The length (mm) that a load will end with if the rest packs as densely as hoped.

    `value` (n,): volume of each piece in mm3, more for those that are hard to find a place for.
    """
    inside, outside, turn = 0.0, 0.0, 1 << 30
    for i in range(len(goods.weight)):
        if state.where[i] == IN_TRUCK:
            inside += value[i]
            turn = min(turn, turn_of(goods, i))
        elif goods.stays[i] == 0:
            outside += value[i]
    front = face_reach(state)
    for i in range(len(goods.weight)):
        if state.where[i] != IN_TRUCK and goods.stays[i] == 0 and turn_of(goods, i) > turn:
            front += LATE_MM
    front += SLACK_MM * state.tally[SLACK] + ROUGH * _roughness(state)
    hoped = DENSITY_HOPED * goods.interior[1] * goods.interior[2]
    rest = outside / hoped
    front += (1.0 - _height(state, front)) * (LOW_MM * min(1.0, rest * 1e-3) + LOW_SHARE * rest)
    # A long piece that juts out beyond all that is still to come is its own end of the load.
    front = max(front, state.tally[LENGTH] - rest)
    return front + PAD_MM * state.tally[PADS] - inside / hoped


@kernel
def settle(
    goods: Goods, before: State, state: State, desk: Desk, pull_order: Longs, bounds: Longs,
    weights: Reals, seed: Longs, skip: Ints, wish: Reals, most_pads: int, placed: int, refills: int,
) -> int:  # fmt: skip
    """Hold the last tier, take off what stays loose, fill up again; its pieces.

    In the end what still travels more than a little is held as well where that is cheap.
    """
    first = int(before.tally[BOXES])
    least = max(0, int(bounds[B_START] - bounds[B_BACK]) - 1000)
    loose = np.zeros(state.box.shape[0], np.int32)
    barred = skip.copy()
    stripped = False
    for attempt in range(ROUNDS):
        if placed == 0:
            break
        held = hold_tier(goods, state, desk, first, least, TRAVEL - MARGIN, most_pads, loose) == 0
        if held and (refills == 0 or not stripped):
            hold_tier(goods, state, desk, first, least, LITTLE, LITTLE_PADS, loose)
            return placed
        if held:
            refills, stripped = refills - 1, False
            more = build_tier(
                goods, state, desk, pull_order, bounds, weights, seed, barred, wish, first
            )
            if more == 0:
                hold_tier(goods, state, desk, first, least, LITTLE, LITTLE_PADS, loose)
                return placed
            placed += more
            continue
        if attempt < PATIENT:
            spare_earliest(state, first, loose)
        for b in range(first, state.tally[BOXES]):
            if state.box[b, ITEM] >= 0 and loose[b] == 1:
                barred[state.box[b, ITEM]] = 1
        placed = replay(goods, before, state, desk, pull_order, bounds, weights, loose)
        stripped = True
    return 0


@kernel
def pick_out(state: State, first: int, seed: Longs, loose: Ints) -> None:
    """Mark a part of the tier: pieces at random, or all within a window of the face."""
    n = int(state.tally[BOXES])
    for b in range(first, n):
        loose[b] = 0
    style = draw(seed)
    if style < 0.4:
        share = 0.1 + 0.3 * draw(seed)
        for b in range(first, n):
            if draw(seed) < share:
                loose[b] = 1
        return
    centre = first + int(draw(seed) * (n - first))
    y = (state.box[centre, Y0] + state.box[centre, Y1]) // 2
    z = (state.box[centre, Z0] + state.box[centre, Z1]) // 2
    wide = 200 + int(500 * draw(seed))
    high = 150 + int(700 * draw(seed))
    for b in range(first, n):
        box = state.box[b]
        if box[Y0] < y + wide and box[Y1] > y - wide and (style < 0.6 or box[Z1] > z - high):
            if style < 0.6 or box[Z0] < z + 2 * high:
                loose[b] = 1


@kernel
def add_tier(
    goods: Goods, before: State, state: State, spare: State, desk: Desk, pull_order: Longs,
    bounds: Longs, weights: Reals, seed: Longs, skip: Ints, wish: Reals, value: Reals,
    most_pads: int, polish: int, built: int,
) -> int:  # fmt: skip
    """Copy `before` to `state` and add one tier in which nothing is loose; how many pieces it got.

    Then, `polish` times, a part of the tier is taken off and filled up again, and kept if the load
    promises to end shorter (large neighbourhood search; Shaw 1998). `built`: the pieces of the tier
    if `state` has it already and it is only to be polished, else 0.
    """
    # A literal would be compiled for by itself.
    anew, refills, once = int(np.int64(-1)), int(np.int64(REFILLS)), int(np.int64(1))
    placed = built
    if placed == 0:
        restore(before, state)
        placed = build_tier(goods, state, desk, pull_order, bounds, weights, seed, skip, wish, anew)
        placed = settle(
            goods, before, state, desk, pull_order, bounds, weights, seed, skip, wish, most_pads,
            placed, refills,
        )  # fmt: skip
    if placed == 0:
        restore(before, state)
        return 0
    first = int(before.tally[BOXES])
    loose = np.zeros(state.box.shape[0], np.int32)
    best = promise(goods, state, value)
    for _ in range(polish):
        restore(state, spare)
        pick_out(state, first, seed, loose)
        left = replay(goods, before, spare, desk, pull_order, bounds, weights, loose)
        if left == 0:
            continue
        left += build_tier(goods, spare, desk, pull_order, bounds, weights, seed, skip, wish, first)
        if promise(goods, spare, value) >= best:  # to hold it will not make it better
            continue
        left = settle(
            goods, before, spare, desk, pull_order, bounds, weights, seed, skip, wish, most_pads,
            left, once,
        )  # fmt: skip
        if left > 0:
            now = promise(goods, spare, value)
            if now < best:
                best, placed = now, left
                restore(spare, state)
    return placed
