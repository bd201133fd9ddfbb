"""Judging and making one placement: the compiled heart of the search.

A piece is slid in from the doors until it meets what stands there (the face of the load), and
must then stand by itself. `try_place` finds where it comes to rest and what that would cost; `put`
makes it so. Scores follow one idea: goods placed against the space that nothing can use any more
(behind, above and beside the piece).
"""

from __future__ import annotations

import numpy as np
from numba import njit

from loading.planner.search.arrays import (
    BEFORE,
    BLOCKED,
    BOXES,
    CELL,
    CONTACTS,
    FLOOR,
    HIGH,
    HOST,
    IN_TRUCK,
    ITEM,
    KILOS,
    LENGTH,
    MOMENT,
    NEVER,
    NOSE,
    ON_FLOOR,
    PLACED,
    RANK,
    ROLLS,
    ROW,
    TIER,
    TIERS,
    TURN,
    UNDER,
    VOLUME,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    Goods,
    Ints,
    Longs,
    Reals,
    State,
)

REST = 10  # mm: a top this far below still carries
SUPPORT = 0.80
FACE = 0.10  # share of a face that must meet something to be held
TRAVEL = 150  # mm
ROLL_STOP, ROLL_ROW = 300, 900  # mm: thickest roll that holds, and thickest row of them

# Weights of the score, drawn anew for every tier: Reals of this length.
(
    W_BEHIND,
    W_ABOVE,
    W_BESIDE,
    W_SIZE,
    W_HEIGHT,
    W_DEPTH,
    W_HEAVY,
    W_NOISE,
    W_DENSITY,
    W_OVER,
    W_LEAST,
    W_NOSE,
    W_SNUG,
    W_LONG,
    W_OPEN,
    W_ACROSS,
) = range(16)
WEIGHTS = 16

# What try_place leaves in `spot` (Longs) when it succeeds.
S_X, S_NOSE, S_RANK, S_HIGH, S_LEFT, S_RIGHT, S_CONTACTS = range(7)
SPOT = 8


@njit(cache=True, nogil=True, inline="always")
def _overlap(a0: int, a1: int, b0: int, b1: int) -> int:
    return min(a1, b1) - max(a0, b0)


@njit(cache=True, nogil=True)
def held_at(where: Reals, rect: Longs, n: int, need: float) -> float:
    """Where a pushed face stops: contacts met first count first, until they cover enough.

    `where` (n,) positions, the larger is met first; `rect` (n, 4) the low and high edges of each
    contact on the face. Overlaps are taken off in pairs, which never counts too much. -1 when
    nothing holds.
    """
    met = 0.0
    for done in range(n):
        best = done
        for k in range(done + 1, n):
            if where[k] > where[best]:
                best = k
        if best != done:
            where[done], where[best] = where[best], where[done]
            for c in range(4):
                rect[done, c], rect[best, c] = rect[best, c], rect[done, c]
        u0, v0, u1, v1 = rect[done, 0], rect[done, 1], rect[done, 2], rect[done, 3]
        new = float(u1 - u0) * (v1 - v0)
        for k in range(done):
            ou = _overlap(u0, u1, rect[k, 0], rect[k, 2])
            ov = _overlap(v0, v1, rect[k, 1], rect[k, 3])
            if ou > 0 and ov > 0:
                new -= float(ou) * ov
        met += max(0.0, new)
        if met >= need:
            return where[done]
    return -1.0


@njit(cache=True, nogil=True)
def _extra(
    goods: Goods, state: State, i: int, n: int, under: Longs, share: Reals, flow: Reals
) -> float:
    """How much more (g) may rest on piece i once it stands there; -1 if it is too heavy itself.

    One unit of load is pushed down through the contacts, newest box first; `flow` is left all zero.
    """
    extra = float(goods.bears[i])
    waiting, b, ok = 0, -1, True
    for k in range(n):
        flow[under[k]] += share[k]
        waiting += 1
        b = max(b, under[k])
    weight = float(goods.weight[i])
    while waiting > 0 and b >= 0:
        f = flow[b]
        if f > 0.0:
            flow[b] = 0.0
            waiting -= 1
            it = state.box[b, ITEM]
            if it >= 0:
                left = goods.bears[it] - state.carried[b] - weight * f
                if left < 0.0:
                    ok = False
                extra = min(extra, left / f)
                for k in range(state.box[b, CONTACTS]):
                    if flow[state.under[b, k]] == 0.0:
                        waiting += 1
                    flow[state.under[b, k]] += f * state.share[b, k]
        b -= 1
    return extra if ok else -1.0


@njit(cache=True, nogil=True)
def try_place(
    goods: Goods,
    state: State,
    near: Longs,
    near_n: int,
    i: int,
    turn: int,
    y: int,
    z: int,
    host: int,
    hole: Ints,
    lim: Longs,
    weights: Reals,
    spot: Longs,
    under: Longs,
    share: Reals,
    pos: Reals,
    rect: Longs,
    flow: Reals,
) -> float:
    """Slide piece i in at (y, z); its score (above 0), or -1 where it cannot stand.

    `near`: boxes that matter; `hole`: the opening when it rides in `host` (else host is -1); `lim`:
    least x, start of the tier, depth aimed at, end of the truck, deepest tier, and how far the tier
    reaches so far toward the nose and the doors. Leaves x, nose position, ranks and gaps
    in `spot`, what it rests on in `under` and `share`.
    """
    dx, dy, dz = goods.size[i, turn, 0], goods.size[i, turn, 1], goods.size[i, turn, 2]
    y1, z1 = y + dy, z + dz
    if y < 0 or y1 > goods.interior[1] or z1 > goods.interior[2]:
        return -1.0
    if host >= 0 and (y1 > hole[1] + hole[4] or z1 > hole[2] + hole[5] or y < hole[1]):
        return -1.0
    box = state.box
    x = lim[0] if host < 0 else max(hole[0], 0)
    stop_i, last_i = goods.stop[i], goods.last_on[i]
    for k in range(near_n):
        b = near[k]
        if b == host or box[b, ITEM] == BLOCKED:
            continue
        if (
            _overlap(y, y1, box[b, Y0], box[b, Y1]) > 0
            and _overlap(z, z1, box[b, Z0], box[b, Z1]) > 0
        ):
            if box[b, X1] > x:
                x = box[b, X1]
            it = box[b, ITEM]
            if it >= 0 and (
                goods.stop[it] < stop_i or (goods.stop[it] == stop_i and goods.last_on[it] > last_i)
            ):
                return -1.0
    if host >= 0 and x + dx > hole[0] + hole[3]:
        return -1.0
    for k in range(near_n):
        b = near[k]
        if (
            box[b, ITEM] == BLOCKED
            and _overlap(y, y1, box[b, Y0], box[b, Y1]) > 0
            and _overlap(z, z1, box[b, Z0], box[b, Z1]) > 0
            and _overlap(x, x + dx, box[b, X0], box[b, X1]) > 0
        ):
            x = box[b, X1]
    x1 = x + dx
    deep = max(x1, lim[6]) - min(x, lim[5])
    if x1 > lim[3] or deep > max(lim[4], dx, lim[6] - lim[5]):
        return -1.0

    # What it rests on.
    area = float(dx) * dy
    n = 0
    on = 0.0
    rank, high = 0, 2
    if goods.level[i] >= 0:
        high = goods.level[i]
    if host >= 0 and hole[2] > box[host, Z0] + 1:
        under[0], share[0] = host, 1.0
        n = 1
        on = area
    elif z <= 0:
        on = area
    else:
        for k in range(near_n):
            b = near[k]
            if b == host:
                continue
            top = box[b, Z1]
            if top > z or top < z - REST or box[b, ITEM] == ROLLS:
                continue
            ox = _overlap(x, x1, box[b, X0], box[b, X1])
            if ox <= 0:
                continue
            oy = _overlap(y, y1, box[b, Y0], box[b, Y1])
            if oy <= 0:
                continue
            it = box[b, ITEM]
            if it >= 0:
                if goods.bears[it] <= 0 or n >= UNDER:
                    return -1.0
                if goods.carton[i] == 1 and goods.carton[it] == 1:
                    if goods.weight[i] * 10 > goods.weight[it] * 11:
                        return -1.0
                if goods.stop[it] < stop_i or (
                    goods.stop[it] == stop_i and goods.last_on[it] > last_i
                ):
                    return -1.0
                if box[b, RANK] > rank:
                    rank = box[b, RANK]
            under[n], share[n] = b, float(ox) * oy
            n += 1
            on += share[n - 1]
        if on < SUPPORT * area:
            return -1.0
        if rank > high:
            return -1.0
    spot[S_RANK], spot[S_HIGH], spot[S_X], spot[S_CONTACTS] = rank, high, x, n
    for k in range(n):
        share[k] /= on

    extra = _extra(goods, state, i, n, under, share, flow)
    if extra < 0.0:
        return -1.0
    if host >= 0:
        spot[S_NOSE], spot[S_LEFT], spot[S_RIGHT] = x, 0, 0
        return _guest_score(dx, dy, dz)

    # What stands before, beside and above it.
    nose_n = 0
    left_gap, right_gap = y, goods.interior[1] - y1
    left_cov = 0.0
    right_cov = 0.0
    side = float(dx) * dz
    nl = 0
    for k in range(near_n):
        b = near[k]
        oz = _overlap(z, z1, box[b, Z0], box[b, Z1])
        oy = _overlap(y, y1, box[b, Y0], box[b, Y1])
        ox = _overlap(x, x1, box[b, X0], box[b, X1])
        if ox > 0 and oy > 0:
            above = box[b, Z0] - z1
            if above >= -1 and above <= REST:
                return -1.0
        if oz <= 1:
            continue
        if oy > 1 and box[b, X1] <= x + 1:
            if box[b, ITEM] == ROLLS:  # rolls may slide themselves: not counted on
                continue
            if nose_n < 64:
                pos[nose_n] = box[b, NOSE] + box[b, X1] - box[b, X0]
                rect[nose_n, 0], rect[nose_n, 2] = max(y, box[b, Y0]), min(y1, box[b, Y1])
                rect[nose_n, 1], rect[nose_n, 3] = max(z, box[b, Z0]), min(z1, box[b, Z1])
                nose_n += 1
        elif ox > 1:
            touch = float(ox) * oz
            if box[b, Y1] <= y + 1:
                if y - box[b, Y1] < left_gap and touch >= 0.03 * side:
                    left_gap = y - box[b, Y1]
                if y - box[b, Y1] <= 30:
                    left_cov += touch
            elif box[b, Y0] >= y1 - 1:
                if box[b, Y0] - y1 < right_gap and touch >= 0.03 * side:
                    right_gap = box[b, Y0] - y1
                if box[b, Y0] - y1 <= 30:
                    right_cov += touch
            nl += 1
    stop = 0.0
    if x > 0:
        stop = max(0.0, held_at(pos, rect, nose_n, FACE * 1.01 * dy * dz))
    travel = x - stop
    if travel > TRAVEL - 2:
        return -1.0
    spot[S_NOSE] = x - max(0, int(travel))
    spot[S_LEFT], spot[S_RIGHT] = left_gap, right_gap
    if y <= 30:
        left_cov = side
    if goods.interior[1] - y1 <= 30:
        right_cov = side
    held = min(1.0, left_cov / side) + min(1.0, right_cov / side)
    return _score(
        goods, state, i, x, y, z, dx, dy, dz, left_gap, right_gap, held, travel, extra, lim, weights
    )


@njit(cache=True, nogil=True)
def _guest_score(dx: int, dy: int, dz: int) -> float:
    """A piece in an opening costs no room: the larger the better, and always before others."""
    return 100.0 + dx * dy * dz * 1e-9


@njit(cache=True, nogil=True)
def _behind(state: State, x: int, y: int, z: int, dy: int, dz: int) -> float:
    """Room (m3) shut in between the piece and the face, by the coarse map."""
    c0, c1 = (y + CELL // 2) // CELL, (y + dy + CELL // 2) // CELL
    r0, r1 = (z + CELL // 2) // CELL, (z + dz + CELL // 2) // CELL
    total = 0.0
    cells = 0
    for c in range(c0, min(c1, state.face.shape[0])):
        for r in range(r0, min(r1, state.face.shape[1])):
            total += x - min(x, state.face[c, r])
            cells += 1
    if cells == 0:
        return 0.0
    return total / cells * dy * dz * 1e-9


@njit(cache=True, nogil=True)
def _score(
    goods: Goods,
    state: State,
    i: int,
    x: int,
    y: int,
    z: int,
    dx: int,
    dy: int,
    dz: int,
    left_gap: int,
    right_gap: int,
    held: float,
    travel: float,
    extra: float,
    lim: Longs,
    weights: Reals,
) -> float:
    volume = dx * dy * dz * 1e-9
    floor = dx * dy * 1e-6
    rest = goods.interior[2] - z - dz
    use = extra * 1e-3 / (weights[W_DENSITY] * floor) * 1000.0
    if use > rest:
        use = rest
    if use < 200.0:
        use = 0.0
    above = floor * (rest - use) * 1e-3
    behind = _behind(state, x, y, z, dy, dz)
    gap = min(left_gap, right_gap)
    other = max(left_gap, right_gap)
    beside = 0.0
    if other < weights[W_OPEN]:
        beside += other * dx * dz * 1e-9
    if gap < weights[W_OPEN]:
        beside += gap * dx * dz * 1e-9
    good = volume / (
        volume + weights[W_BEHIND] * behind + weights[W_ABOVE] * above + weights[W_BESIDE] * beside
    )
    score = good * volume ** weights[W_SIZE]
    score *= 1.0 - weights[W_HEIGHT] * z / goods.interior[2]
    over = x + dx - lim[1] - lim[2]
    if over > 0:
        score *= 1.0 / (1.0 + weights[W_OVER] * over * 1e-3)
    if lim[6] == 0 and max(dx, dy) > goods.interior[1]:
        score *= 1.0 + weights[W_LONG]
    ahead = x - lim[1]
    if ahead > 0:
        score *= 1.0 / (1.0 + weights[W_DEPTH] * ahead * 1e-3)
    score *= 1.0 + weights[W_SNUG] * held
    score *= 1.0 + weights[W_ACROSS] * dy / goods.interior[1]
    score *= 1.0 - weights[W_NOSE] * travel / 150.0
    heavy = goods.weight[i] * 1e-3 / (volume * 150.0)
    score *= 1.0 + weights[W_HEAVY] * (min(heavy, 2.0) - 0.8) * (0.5 - z / goods.interior[2])
    return max(score, 1e-9)


@njit(cache=True, nogil=True)
def _longest(goods: Goods, i: int) -> int:
    most = 0
    for t in range(goods.turns[i]):
        most = max(most, goods.size[i, t, 0], goods.size[i, t, 1])
    return most


@njit(cache=True, nogil=True)
def most_score(goods: Goods, i: int, weights: Reals) -> float:
    """An upper bound of `try_place`'s score for piece i (openings aside)."""
    volume = goods.volume[i] * 1e-9
    heavy = min(goods.weight[i] * 1e-3 / (volume * 150.0), 2.0) - 0.8
    return float(
        volume ** weights[W_SIZE]
        * (1.0 + 2.0 * weights[W_SNUG])
        * (1.0 + weights[W_ACROSS])
        * (1.0 + 0.5 * weights[W_HEAVY] * abs(heavy))
        * (1.0 + weights[W_LONG] if _longest(goods, i) > goods.interior[1] else 1.0)
    )


@njit(cache=True, nogil=True)
def put(
    goods: Goods,
    state: State,
    i: int,
    turn: int,
    y: int,
    z: int,
    host: int,
    spot: Longs,
    under: Longs,
    share: Reals,
) -> int:
    """Place piece i as `try_place` found it; the new box's index."""
    b = int(state.tally[BOXES])
    box = state.box
    dx, dy, dz = goods.size[i, turn, 0], goods.size[i, turn, 1], goods.size[i, turn, 2]
    x = spot[S_X]
    box[b, X0], box[b, Y0], box[b, Z0] = x, y, z
    box[b, X1], box[b, Y1], box[b, Z1] = x + dx, y + dy, z + dz
    box[b, ITEM], box[b, TURN], box[b, HOST], box[b, NOSE] = i, turn, host, spot[S_NOSE]
    box[b, ROW], box[b, TIER], box[b, BEFORE] = 0, state.tally[TIERS], NEVER
    rank = spot[S_RANK]
    if goods.level[i] >= 0:
        rank = goods.level[i]
    box[b, RANK], box[b, HIGH], box[b, CONTACTS] = rank, spot[S_HIGH], spot[S_CONTACTS]
    for k in range(spot[S_CONTACTS]):
        state.under[b, k], state.share[b, k] = under[k], share[k]
    state.carried[b] = 0.0
    state.tally[BOXES] += 1
    _load_down(state, b, float(goods.weight[i]))
    _mark_face(state, b)
    if state.where[i] == ON_FLOOR:
        state.tally[FLOOR] -= goods.area[i]
    state.where[i] = IN_TRUCK
    state.tally[PLACED] += 1
    state.tally[VOLUME] += goods.volume[i] // 1000
    state.tally[KILOS] += goods.weight[i]
    state.tally[MOMENT] += goods.weight[i] * (2 * y + dy - goods.interior[1])
    if box[b, X1] > state.tally[LENGTH]:
        state.tally[LENGTH] = box[b, X1]
    return b


@njit(cache=True, nogil=True)
def _load_down(state: State, b: int, weight: float) -> None:
    """Add the weight of box b to all that is under it."""
    flow = np.zeros(b + 1)
    flow[b] = weight
    for k in range(b, -1, -1):
        f = flow[k]
        if f <= 0.0:
            continue
        if k != b:
            state.carried[k] += f
        if state.box[k, ITEM] >= 0:
            for c in range(state.box[k, CONTACTS]):
                flow[state.under[k, c]] += f * state.share[k, c]


@njit(cache=True, nogil=True)
def _mark_face(state: State, b: int) -> None:
    box = state.box
    c0, c1 = (box[b, Y0] + CELL // 2) // CELL, (box[b, Y1] + CELL // 2) // CELL
    r0, r1 = (box[b, Z0] + CELL // 2) // CELL, (box[b, Z1] + CELL // 2) // CELL
    for c in range(c0, min(c1, state.face.shape[0])):
        for r in range(r0, min(r1, state.face.shape[1])):
            if box[b, X1] > state.face[c, r]:
                state.face[c, r] = box[b, X1]
