"""Building one tier, piece by piece, from places that the pieces before have made."""

from __future__ import annotations

import numpy as np

from loading.planner.search.arrays import (
    AIM,
    BOXES,
    CANDIDATES,
    DEEP,
    END,
    FIRST,
    FRESH,
    FRONT,
    IN_TRUCK,
    ITEM,
    LEAST,
    MOST_BEDS,
    MOST_PLACES,
    NEAR,
    PLACES,
    REAR,
    START,
    TIER,
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
from loading.planner.search.kernel import bare, inlined, kernel
from loading.planner.search.place import put, try_place
from loading.planner.search.places import (
    P_HOLE,
    P_HOST,
    P_Z,
    ROLLED,
    add_place,
    first_places,
    forget,
    hole_of,
    left_edge,
    places_of,
)
from loading.planner.search.rating import rate_place
from loading.planner.search.rolls import overlap
from loading.planner.search.score import (
    W_LEAST,
    W_NOISE,
    W_SIZE,
    most_score,
)
from loading.planner.search.support import goes_after

DEEPEST = 2500  # mm, see the contract's R9
REACH_BACK = 1000  # mm: how far behind a tier's start pieces may be slid in
EARLY = 0.35  # what a piece of a later turn scores
DEEP_MM = 1600  # what most tiers are kept to; a longer piece does not make its tier as deep

# Entries of the bounds that a tier is built within.
B_START, B_AIM, B_DEEP, B_PIECES, B_EARLY, B_WIDE, B_BACK = range(7)


@bare
def draw(seed: Longs) -> float:
    """The next number in [0, 1) of a xorshift generator (Marsaglia 2003)."""
    v = seed[0]
    v ^= v << 13
    v ^= (v >> 7) & 0x01FFFFFFFFFFFFFF
    v ^= v << 17
    seed[0] = v
    return ((v >> 11) & 0x1FFFFFFFFFFFFF) / 9007199254740992.0


@kernel
def tier_start(state: State, percentile: float) -> int:
    """Where the next tier begins: a low percentile of how far the face reaches near the deck."""
    rows = max(1, state.face.shape[1] * 2 // 5)
    values = np.empty(state.face.shape[0] * rows, np.int64)
    n = 0
    for c in range(state.face.shape[0]):
        for r in range(rows):
            values[n] = state.face[c, r]
            n += 1
    values.sort()
    return int(values[int(percentile * (n - 1))])


@inlined
def open_desk(goods: Goods, state: State, desk: Desk, bounds: Longs, first: int) -> None:
    """Lay out the limits of a tier that begins with box `first`, and what its pieces may touch."""
    lim = desk.lim
    lim[FIRST] = first
    lim[LEAST] = max(0, bounds[B_START] - bounds[B_BACK])
    lim[START], lim[AIM], lim[END] = bounds[B_START], bounds[B_AIM], goods.interior[0]
    lim[DEEP], lim[REAR], lim[FRONT] = min(bounds[B_DEEP], DEEPEST), 1 << 30, 0
    n = 0
    for b in range(state.tally[BOXES]):
        if state.box[b, X1] > lim[LEAST]:
            desk.near[n] = b
            n += 1
        if b < first and state.box[b, TIER] == state.tally[TIERS]:  # begun before the search
            widen(state, desk, b)
    desk.used[NEAR] = n


@inlined
def set_down(
    goods: Goods, state: State, desk: Desk, i: int, turn: int, y: int, z: int, host: int
) -> int:
    """Place piece i as `try_place` found it, near to all that follows; the new box."""
    first = int(state.tally[BOXES])
    b = put(goods, state, desk, i, turn, y, z, host)
    for k in range(first, b + 1):
        desk.near[desk.used[NEAR]] = k
        desk.used[NEAR] += 1
    widen(state, desk, b)
    return b


@inlined
def widen(state: State, desk: Desk, b: int) -> None:
    """Note how far the tier reaches with box b; rolls do not count."""
    if state.box[b, ITEM] < 0:
        return
    desk.lim[REAR] = min(desk.lim[REAR], state.box[b, X0])
    desk.lim[FRONT] = max(desk.lim[FRONT], state.box[b, X1])


@kernel
def _hopes(goods: Goods, desk: Desk, weights: Reals, seed: Longs, wish: Reals) -> None:
    """Draw this tier's noise; the order in which pieces are tried."""
    for i in range(len(wish)):
        desk.factor[i] = wish[i] * (1.0 + weights[W_NOISE] * (draw(seed) - 0.5))
        desk.power[i] = (goods.volume[i] * 1e-9) ** weights[W_SIZE]
        desk.hope[i] = desk.factor[i] * most_score(goods, i, desk.power[i], weights)
        desk.tried[i], desk.early[i] = 0, 1.0
    desk.by_hope[:] = np.argsort(-desk.hope, kind="mergesort")


@inlined
def _candidates(goods: Goods, state: State, desk: Desk, skip: Ints, early_mm3: int) -> None:
    """List the pieces that can be had now, the most hopeful first."""
    least, most = _turn_now(goods, state, early_mm3)
    n, new = 0, 0
    for k in range(len(desk.by_hope)):
        i = desk.by_hope[k]
        key = turn_of(goods, i)
        desk.early[i] = EARLY if key < most else 1.0
        if skip[i] != 1 and key >= least and within_reach(goods, state, i):
            desk.candidate[n] = i
            n += 1
            if desk.tried[i] == 0:
                desk.fresh[new] = i
                new += 1
    desk.used[CANDIDATES], desk.used[FRESH] = n, new


@inlined
def _best_place(goods: Goods, state: State, desk: Desk, least: float, weights: Reals) -> int:
    while True:
        top = -1
        for p in range(desk.used[PLACES]):
            if desk.best_item[p] >= 0 and desk.best[p] > least:
                if top < 0 or desk.best[p] > desk.best[top]:
                    top = p
        if top < 0 or desk.known[top] != 3:
            return top
        desk.known[top] = 0
        rate_place(goods, state, desk, top, weights)


@inlined
def _take_place(goods: Goods, state: State, desk: Desk, p: int, weights: Reals) -> int:
    """Set down a place's best piece if it still fits as well as when judged; its box or -1."""
    i, t = desk.best_item[p], desk.best_turn[p]
    host, z = int(desk.place[p, P_HOST]), int(desk.place[p, P_Z])
    y = left_edge(goods, desk, p, i, t)
    if host >= 0:
        hole_of(goods, state, desk, host, int(desk.place[p, P_HOLE]))
    near, n = desk.near, desk.used[NEAR]
    s = try_place(goods, state, desk, near, n, near, n, i, t, y, z, host, weights)
    s *= desk.factor[i] * desk.early[i]
    if s <= 0.0 or s < desk.best[p] * 0.98:
        desk.known[p] = 0
        return -1
    if bars_far(goods, state, desk, i, t, y, z):
        desk.known[p], desk.best_item[p] = 2, -1
        return -1
    return set_down(goods, state, desk, i, t, y, z, host)


@inlined
def _new_places(goods: Goods, state: State, desk: Desk, b: int, wide: int) -> None:
    """After box b was set down: what it offers, and which places it spoils."""
    before = int(desk.used[PLACES])
    desk.tried[state.box[b, ITEM]] = 0
    places_of(goods, state, desk, b, True)
    if wide > 0:
        z = int(state.box[b, Z0])
        add_place(desk, state.box[b, Y1] + ROLLED, z, 1, -1, 0)
        add_place(desk, state.box[b, Y0] - ROLLED, z, -1, -1, 0)
    forget(goods, state, desk, b, before)


@inlined
def _fill_up(state: State, desk: Desk) -> None:
    """From now on whatever fits without making the tier deeper; a long piece does not count."""
    end = desk.lim[START] + desk.lim[AIM]
    for b in range(desk.lim[FIRST], state.tally[BOXES]):
        if state.box[b, ITEM] >= 0 and state.box[b, X1] - state.box[b, X0] <= DEEP_MM:
            end = max(end, state.box[b, X1])
    desk.lim[END], desk.lim[DEEP] = min(end, desk.lim[FRONT]), DEEPEST
    for p in range(desk.used[PLACES]):
        desk.known[p] = 0  # also those that the aim of the tier had closed


@bare
def bars_far(goods: Goods, state: State, desk: Desk, i: int, turn: int, y: int, z: int) -> bool:
    """Whether piece i would bar the way of a piece too far behind for `try_place` to see."""
    box, y1, z1 = state.box, y + goods.size[i, turn, 1], z + goods.size[i, turn, 2]
    for b in range(state.tally[BOXES]):
        if (
            box[b, ITEM] >= 0
            and box[b, X1] <= desk.lim[LEAST]
            and goes_after(goods, i, box[b, ITEM])
        ):
            if overlap(y, y1, box[b, Y0], box[b, Y1]) > 0:
                if overlap(z, z1, box[b, Z0], box[b, Z1]) > 0:
                    return True
    return False


@kernel
def build_tier(
    goods: Goods, state: State, desk: Desk, pull_order: Longs, bounds: Longs, weights: Reals,
    seed: Longs, skip: Ints, wish: Reals, begun: int,
) -> int:  # fmt: skip
    """Add one tier to the load; how many pieces it got.

    `bounds`: start of the tier, depth aimed at, deepest it may get, most pieces, how much (mm3) of
    what must go first may still be waiting when pieces of the next turn come in, 1 to try places
    off the walls too, and how far behind its start a piece may be slid in. `weights`: see `score`.
    `skip` (n,): 1 for pieces that are not to be tried, 2 for those not to stand on the deck; `wish`
    (n,): factors on their scores. `begun`: the tier's first box if it has been begun and is only to
    be filled up, else -1.
    """
    if begun < 0:
        state.tally[TIERS] += 1
    open_desk(goods, state, desk, bounds, begun if begun >= 0 else int(state.tally[BOXES]))
    first_places(goods, state, desk, int(bounds[B_START]), begun, bounds[B_WIDE])
    for i in range(len(skip)):
        desk.raised[i] = 1 if skip[i] == 2 else 0
    _hopes(goods, desk, weights, seed, wish)
    placed, refused = 0, 0
    refill(goods, state, pull_order)
    filling, least = False, weights[W_LEAST]
    if begun >= 0:
        for b in range(begun, state.tally[BOXES]):
            widen(state, desk, b)
        filling, least = True, 0.0
        _fill_up(state, desk)
    while placed < bounds[B_PIECES] and state.tally[BOXES] < len(state.box) - MOST_BEDS - 1:
        if refused > MOST_PLACES:  # whatever the reason, a tier comes to an end
            break
        _candidates(goods, state, desk, skip, bounds[B_EARLY])
        for p in range(desk.used[PLACES]):
            if desk.known[p] == 0 or (desk.known[p] != 2 and desk.used[FRESH] > 0):
                rate_place(goods, state, desk, p, weights)
        for c in range(desk.used[CANDIDATES]):
            desk.tried[desk.candidate[c]] = 1
        top = _best_place(goods, state, desk, least, weights)
        if top < 0:
            if filling or placed == 0:
                break
            filling, least = True, 0.0
            _fill_up(state, desk)
            continue
        b = _take_place(goods, state, desk, top, weights)
        if b >= 0:
            placed += 1
            _new_places(goods, state, desk, b, bounds[B_WIDE])
            refill(goods, state, pull_order)
        else:
            refused += 1
    if placed == 0 and begun < 0:
        state.tally[TIERS] -= 1
    return placed


@bare
def _turn_now(goods: Goods, state: State, early_mm3: int) -> tuple[int, int]:
    """The least key (stop; last-on after the others of its stop) that may go now, and the most.

    Later keys may begin when little of the earlier ones is left, so that the end of one stop and
    the beginning of the next can share a tier; `try_place` sees to it that nothing bars their way.
    """
    most = 0
    for i in range(len(goods.weight)):
        if goods.stays[i] == 0 and state.where[i] != IN_TRUCK:
            most = max(most, turn_of(goods, i))
    rest = 0
    key = most
    while key > 0:
        for i in range(len(goods.weight)):
            if goods.stays[i] == 0 and state.where[i] != IN_TRUCK and turn_of(goods, i) == key:
                rest += goods.volume[i]
        if rest > early_mm3:
            break
        key -= 1
    return key, most


@inlined
def turn_of(goods: Goods, i: int) -> int:
    """Higher for pieces that go in earlier: those of later stops; in a stop, last-on ones last."""
    return goods.stop[i] * 2 + 1 - goods.last_on[i]
