"""Building one tier, piece by piece, from places that the pieces before have made."""

from __future__ import annotations

import numpy as np
from numba import njit

from loading.planner.search.arrays import (
    BLOCKED,
    BOXES,
    HOST,
    IN_TRUCK,
    ITEM,
    ROLLS,
    TIERS,
    TURN,
    UNDER,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    Bytes,
    Goods,
    Ints,
    Longs,
    Reals,
    State,
)
from loading.planner.search.dock import refill, within_reach
from loading.planner.search.place import (
    REST,
    SPOT,
    W_DEPTH,
    W_HEIGHT,
    W_LEAST,
    W_NOISE,
    most_score,
    put,
    try_place,
)

# A place where a piece may come to stand.
# Side +1: its left edge is at y; -1: its right edge; 0: its middle.
P_Y, P_Z, P_SIDE, P_HOST, P_HOLE = range(5)
PLACES = 640
REACH_BACK = 1000  # mm: how far behind the tier's start a piece may still be slid in
DEEPEST = 2500  # mm, see the contract's R9
BOUNDS = 7
EARLY = 0.35
ROLLED = 860  # mm: about the widest gap that rolls hold
PROBE = 60  # mm: thinner than any piece
ALIKE_TRIED = 2  # pieces about alike that are tried at a place


@njit(cache=True, nogil=True)
def draw(seed: Longs) -> float:
    """The next number in [0, 1) of a xorshift generator (Marsaglia 2003)."""
    v = seed[0]
    v ^= v << 13
    v ^= (v >> 7) & 0x01FFFFFFFFFFFFFF
    v ^= v << 17
    seed[0] = v
    return ((v >> 11) & 0x1FFFFFFFFFFFFF) / 9007199254740992.0


@njit(cache=True, nogil=True)
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


@njit(cache=True, nogil=True)
def _near(state: State, least: int, near: Longs) -> int:
    n = 0
    for b in range(state.tally[BOXES]):
        if state.box[b, X1] > least:
            near[n] = b
            n += 1
    return n


@njit(cache=True, nogil=True)
def _not_below(state: State, near: Longs, near_n: int, z: int, out: Longs) -> int:
    """Those of the near boxes that end less than a rest below z, or higher."""
    n = 0
    for k in range(near_n):
        if state.box[near[k], Z1] >= z - REST:
            out[n] = near[k]
            n += 1
    return n


@njit(cache=True, nogil=True)
def _place_factor(
    goods: Goods, state: State, near: Longs, near_n: int, places: Longs, p: int,
    lim: Longs, weights: Reals,
) -> float:  # fmt: skip
    """What height and depth take from any score at a place; -1 where the tier has no room left.

    Seen for a probe in the place's corner: no piece comes nearer to the nose than that.
    """
    y, z = places[p, P_Y], places[p, P_Z]
    if places[p, P_SIDE] <= 0:
        y -= PROBE
    x = lim[0]
    box = state.box
    for k in range(near_n):
        b = near[k]
        if box[b, X1] > x and box[b, Y0] < y + PROBE and box[b, Y1] > y:
            if box[b, Z0] < z + PROBE and box[b, Z1] > z and box[b, ITEM] != BLOCKED:
                x = box[b, X1]
    if x + PROBE > lim[3]:
        return -1.0
    factor = 1.0 - weights[W_HEIGHT] * z / goods.interior[2]
    ahead = x - lim[1]
    if ahead > 0:
        factor /= 1.0 + weights[W_DEPTH] * ahead * 1e-3
    return factor


@njit(cache=True, nogil=True)
def _tops_at(goods: Goods, state: State, near: Longs, near_n: int, z: int, host: int) -> float:
    """How much (mm2) can carry a piece at height z, at most."""
    if z <= 0 or host >= 0:
        return 1e12
    total = 0.0
    box = state.box
    for k in range(near_n):
        b = near[k]
        if z - REST <= box[b, Z1] <= z and box[b, ITEM] != ROLLS:
            if box[b, ITEM] < 0 or goods.bears[box[b, ITEM]] > state.carried[b]:
                total += float(box[b, X1] - box[b, X0]) * (box[b, Y1] - box[b, Y0])
    return total


@njit(cache=True, nogil=True)
def _add_place(places: Longs, n: int, y: int, z: int, side: int, host: int, hole: int) -> int:
    for k in range(n):
        if (
            places[k, P_Y] == y
            and places[k, P_Z] == z
            and places[k, P_SIDE] == side
            and places[k, P_HOST] == host
            and places[k, P_HOLE] == hole
        ):
            return n
    if n >= PLACES:
        return n
    places[n, P_Y], places[n, P_Z], places[n, P_SIDE] = y, z, side
    places[n, P_HOST], places[n, P_HOLE] = host, hole
    return n + 1


@njit(cache=True, nogil=True)
def _places_of(
    goods: Goods, state: State, b: int, near: Longs, near_n: int, places: Longs, n: int, fresh: bool
) -> int:
    """Add the places that box b makes: beside it, on it, and where others end at its height."""
    box = state.box
    y0, y1, z0, z1 = box[b, Y0], box[b, Y1], box[b, Z0], box[b, Z1]
    wide, high = goods.interior[1], goods.interior[2]
    if y1 < wide:
        n = _add_place(places, n, y1, z0, 1, -1, 0)
    if y0 > 0:
        n = _add_place(places, n, y0, z0, -1, -1, 0)
    if box[b, ITEM] == ROLLS:
        return n
    if z1 < high - 60:
        n = _add_place(places, n, y0, z1, 1, -1, 0)
        n = _add_place(places, n, y1, z1, -1, -1, 0)
        left, right = 0, wide
        for k in range(near_n):
            o = near[k]
            if o == b or box[o, Z0] > z1 or box[o, Z1] <= z1 + 10:
                continue
            if box[o, X1] <= box[b, X0] + 50:
                continue
            if box[o, Y1] <= y0 and box[o, Y1] > left:
                left = box[o, Y1]
            if box[o, Y0] >= y1 and box[o, Y0] < right:
                right = box[o, Y0]
        n = _add_place(places, n, left, z1, 1, -1, 0)
        n = _add_place(places, n, right, z1, -1, -1, 0)
    if fresh:
        for k in range(near_n):
            o = near[k]
            if box[o, Z1] <= z0 or box[o, Z1] >= z1 or box[o, ITEM] == ROLLS:
                continue
            if box[o, Y0] < y1 + 400 and box[o, Y1] > y1:
                n = _add_place(places, n, y1, box[o, Z1], 1, -1, 0)
            if box[o, Y1] > y0 - 400 and box[o, Y0] < y0:
                n = _add_place(places, n, y0, box[o, Z1], -1, -1, 0)
    i = box[b, ITEM]
    if i >= 0 and box[b, HOST] < 0:
        for h in range(goods.opening.shape[2]):
            hole = goods.opening[i, box[b, TURN], h]
            if hole[3] > 0:
                n = _add_place(places, n, y0 + hole[1], z0 + hole[2], 1, b, h)
    elif i >= 0 and fresh:
        host = box[b, HOST]
        h = 0
        n = _add_place(places, n, y1, z0, 1, host, h)
        n = _add_place(places, n, y0, z1, 1, host, h)
        n = _add_place(places, n, y0, z0, 1, host, h)
    return n


@njit(cache=True, nogil=True)
def _left_edge(goods: Goods, places: Longs, p: int, i: int, turn: int) -> int:
    """Where piece i's left edge comes to lie at a place: from it, up to it, or about it."""
    side, wide = places[p, P_SIDE], goods.size[i, turn, 1]
    if side > 0:
        return places[p, P_Y]
    return places[p, P_Y] - (wide if side < 0 else wide // 2)


@njit(cache=True, nogil=True)
def limits(goods: Goods, bounds: Longs) -> Longs:
    """What `try_place` keeps to, at the start of a tier: see there."""
    lim = np.zeros(BOUNDS, np.int64)
    lim[0], lim[1], lim[2] = max(0, bounds[0] - REACH_BACK), bounds[0], bounds[1]
    lim[3], lim[4] = goods.interior[0], min(bounds[2], DEEPEST)
    lim[5], lim[6] = 1 << 30, 0
    return lim


@njit(cache=True, nogil=True)
def widen(state: State, b: int, lim: Longs) -> None:
    """Note how far the tier reaches with box b."""
    lim[5] = min(lim[5], state.box[b, X0])
    lim[6] = max(lim[6], state.box[b, X1])


@njit(cache=True, nogil=True)
def build_tier(
    goods: Goods,
    state: State,
    pull_order: Longs,
    bounds: Longs,
    weights: Reals,
    seed: Longs,
    skip: Ints,
    wish: Reals,
    begun: int,
) -> int:
    """Add one tier to the load; how many pieces it got.

    `bounds`: start of the tier, depth aimed at, deepest it may get, most pieces, and how much
    (mm3) of what must go first may still be waiting when pieces of the next turn come in.
    `weights`: see `place`.
    `skip` (n,): pieces that are not to be tried; `wish` (n,): factors on their scores. `begun`: the
    tier's first box if it has been begun and is only to be filled up, else -1.
    """
    n_items = len(goods.weight)
    if begun < 0:
        state.tally[TIERS] += 1
    start = int(bounds[0])
    lim = limits(goods, bounds)
    room = state.box.shape[0]
    near = np.empty(room, np.int64)
    near_n = _near(state, int(lim[0]), near)
    places = np.empty((PLACES, 5), np.int64)
    n_places = 0
    n_places = _add_place(places, n_places, 0, 0, 1, -1, 0)
    n_places = _add_place(places, n_places, int(goods.interior[1]), 0, -1, -1, 0)
    if bounds[5] > 0:
        n_places = _add_place(places, n_places, int(goods.interior[1]) // 2, 0, 0, -1, 0)
        n_places = _add_place(places, n_places, ROLLED, 0, 1, -1, 0)
        n_places = _add_place(places, n_places, int(goods.interior[1]) - ROLLED, 0, -1, -1, 0)
    for k in range(near_n):
        if near_n and state.box[near[k], X1] > start - 700:
            own = begun >= 0 and near[k] >= begun
            n_places = _places_of(goods, state, near[k], near, near_n, places, n_places, own)
            if state.box[near[k], Z0] > 0 and state.box[near[k], X1] > start - 200:
                y0, y1 = state.box[near[k], Y0], state.box[near[k], Y1]
                if y1 < goods.interior[1]:
                    n_places = _add_place(places, n_places, y1, 0, 1, -1, 0)
                if y0 > 0:
                    n_places = _add_place(places, n_places, y0, 0, -1, -1, 0)

    best = np.zeros(PLACES)  # per place: best score, its piece and turn, -1 to be judged
    best_i = np.zeros(PLACES, np.int64)
    best_t = np.zeros(PLACES, np.int64)
    known = np.zeros(PLACES, np.uint8)
    spot = np.zeros(SPOT, np.int64)
    under = np.zeros(UNDER, np.int64)
    share = np.zeros(UNDER)
    pos, rect, flow = np.zeros(64), np.zeros((64, 4), np.int64), np.zeros(room)
    cand = np.empty(n_items, np.int64)
    tried = np.zeros(n_items, np.uint8)
    noise = np.ones(n_items)
    hope = np.empty(n_items)  # no place scores a piece higher than this
    for i in range(n_items):
        noise[i] = wish[i] * (1.0 + weights[W_NOISE] * (draw(seed) - 0.5))
        hope[i] = noise[i] * most_score(goods, i, weights)
    early = np.ones(n_items)
    by_hope = np.argsort(-hope, kind="mergesort")
    high_near = np.empty(room, np.int64)
    seen = np.zeros(n_items, np.int64)  # how many of each family were tried at a place
    no_hole = np.zeros(6, np.int32)
    hole = np.zeros(6, np.int32)
    placed = 0
    refill(goods, state, pull_order)
    filling, least = False, weights[W_LEAST]
    if begun >= 0:
        for b in range(begun, state.tally[BOXES]):
            widen(state, b, lim)
        filling, least = True, 0.0
        lim[3], lim[4] = lim[6], DEEPEST
    while placed < bounds[3] and state.tally[BOXES] < room - 1:
        n_cand = 0
        turn_key = _turn_now(goods, state, bounds[4])
        for i in range(n_items):  # pieces of a later turn only where they fit much better
            early[i] = EARLY if _key(goods, i) < turn_key[1] else 1.0
        for k in range(n_items):
            i = by_hope[k]
            if skip[i] == 0 and within_reach(goods, state, i) and _key(goods, i) >= turn_key[0]:
                cand[n_cand] = i
                n_cand += 1
        for p in range(n_places):
            if known[p] == 2:
                continue
            full = known[p] == 0
            if full:
                best[p] = 0.0
                best_i[p] = -1
            host = places[p, P_HOST]
            if host >= 0:
                hole_of(goods, state, int(host), int(places[p, P_HOLE]), hole)
            z = places[p, P_Z]
            if host < 0:
                best_hope = _place_factor(goods, state, near, near_n, places, p, lim, weights)
                if best_hope < 0.0:  # nothing gets in here any more
                    known[p] = 2
                    continue
            else:
                best_hope = 1e9
            high_n, carries = -1, 0.0
            seen[:] = 0
            for c in range(n_cand):
                i = cand[c]
                if not full and tried[i] == 1:
                    continue
                if host < 0 and hope[i] * best_hope <= best[p]:
                    break
                if host < 0:
                    if seen[goods.family[i]] >= ALIKE_TRIED:
                        continue
                    seen[goods.family[i]] += 1
                if high_n < 0:
                    high_n = _not_below(state, near, near_n, z, high_near)
                    carries = _tops_at(goods, state, high_near, high_n, z, int(host))
                for t in range(goods.turns[i]):
                    dz = goods.size[i, t, 2]
                    if z + dz > goods.interior[2] or 0.8 * (goods.volume[i] // dz) > carries:
                        continue
                    y = _left_edge(goods, places, p, i, t)
                    s = try_place(
                        goods, state, high_near, high_n, i, t, y, z, int(host),
                        hole if host >= 0 else no_hole, lim, weights,
                        spot, under, share, pos, rect, flow,
                    ) * noise[i] * early[i]  # fmt: skip
                    if s > best[p]:
                        best[p], best_i[p], best_t[p] = s, i, t
            known[p] = 1
        for c in range(n_cand):
            tried[cand[c]] = 1
        top = -1
        for p in range(n_places):
            if best_i[p] >= 0 and best[p] > least and (top < 0 or best[p] > best[top]):
                top = p
        if top < 0:
            if filling or placed == 0:
                break
            filling = True  # now whatever still fits without making the tier deeper
            least = 0.0
            lim[3], lim[4] = lim[6], DEEPEST
            for p in range(n_places):
                known[p] = 0  # also those that the aim of the tier had closed
            continue
        i, t = best_i[top], best_t[top]
        host = int(places[top, P_HOST])
        y = _left_edge(goods, places, top, i, t)
        if host >= 0:
            hole_of(goods, state, host, int(places[top, P_HOLE]), hole)
        s = try_place(
            goods, state, near, near_n, i, t, y, places[top, P_Z], host,
            hole if host >= 0 else no_hole, lim, weights, spot, under, share, pos, rect, flow,
        ) * noise[i] * early[i]  # fmt: skip
        if s <= 0.0 or (s < best[top] * 0.98):
            known[top] = 0
            continue
        b = put(goods, state, i, t, y, places[top, P_Z], host, spot, under, share)
        near[near_n] = b
        near_n += 1
        widen(state, b, lim)
        placed += 1
        tried[i] = 0
        before = n_places
        n_places = _places_of(goods, state, b, near, near_n, places, n_places, True)
        if bounds[5] > 0 and host < 0:
            z = int(state.box[b, Z0])
            n_places = _add_place(places, n_places, state.box[b, Y1] + ROLLED, z, 1, -1, 0)
            n_places = _add_place(places, n_places, state.box[b, Y0] - ROLLED, z, -1, -1, 0)
        for p in range(before, n_places):
            known[p] = 0
        _forget(goods, state, b, i, places, before, known, best_i, best_t)
        refill(goods, state, pull_order)
    if placed == 0 and begun < 0:
        state.tally[TIERS] -= 1
    return placed


@njit(cache=True, nogil=True)
def hole_of(goods: Goods, state: State, host: int, h: int, hole: Ints) -> None:
    """The opening h of a standing host in the truck's frame."""
    box = state.box
    o = goods.opening[box[host, ITEM], box[host, TURN], h]
    hole[0], hole[1], hole[2] = box[host, X0] + o[0], box[host, Y0] + o[1], box[host, Z0] + o[2]
    hole[3], hole[4], hole[5] = o[3], o[4], o[5]


@njit(cache=True, nogil=True)
def _turn_now(goods: Goods, state: State, early_mm3: int) -> tuple[int, int]:
    """The least key (stop; last-on after the others of its stop) that may go now, and the most.

    Later keys may begin when little of the earlier ones is left, so that the end of one stop and
    the beginning of the next can share a tier; `try_place` sees to it that nothing bars their way.
    """
    most = 0
    for i in range(len(goods.weight)):
        if goods.stays[i] == 0 and state.where[i] != IN_TRUCK:
            most = max(most, _key(goods, i))
    rest = 0
    key = most
    while key > 0:
        for i in range(len(goods.weight)):
            if goods.stays[i] == 0 and state.where[i] != IN_TRUCK and _key(goods, i) == key:
                rest += goods.volume[i]
        if rest > early_mm3:
            break
        key -= 1
    return key, most


@njit(cache=True, nogil=True, inline="always")
def _key(goods: Goods, i: int) -> int:
    return goods.stop[i] * 2 + 1 - goods.last_on[i]


@njit(cache=True, nogil=True)
def _forget(
    goods: Goods,
    state: State,
    b: int,
    placed: int,
    places: Longs,
    n: int,
    known: Bytes,
    best_i: Longs,
    best_t: Longs,
) -> None:
    """Mark the places whose best piece is gone or whose room box b has changed."""
    y0, y1, z0, z1 = state.box[b, Y0], state.box[b, Y1], state.box[b, Z0], state.box[b, Z1]
    for p in range(n):
        if known[p] != 1:
            continue
        i = best_i[p]
        if i < 0:
            y, z = places[p, P_Y], places[p, P_Z]
            if z >= z1 - 10 and z <= z1 and y >= y0 - 600 and y <= y1 + 600:
                known[p] = 0
            continue
        if i == placed:
            known[p] = 0
            continue
        t = best_t[p]
        y = _left_edge(goods, places, p, i, t)
        z = places[p, P_Z]
        if (
            y < y1 + 160
            and y + goods.size[i, t, 1] > y0 - 160
            and z < z1 + 60
            and z + goods.size[i, t, 2] > z0 - 60
        ):
            known[p] = 0
