"""Building one tier, piece by piece, from places that the pieces before have made."""

from __future__ import annotations

import numpy as np

from loading.planner.search.arrays import (
    AIM,
    BLOCKED,
    BOXES,
    CANDIDATES,
    CELL,
    DEEP,
    END,
    FRONT,
    HIGH_UP,
    IN_TRUCK,
    ITEM,
    LEAST,
    NEAR,
    PLACES,
    REAR,
    ROLLS,
    START,
    TIERS,
    TOPS,
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
from loading.planner.search.place import REST, SNUG, put, try_place
from loading.planner.search.places import (
    P_HOLE,
    P_HOST,
    P_SIDE,
    P_Y,
    P_Z,
    ROLLED,
    add_place,
    first_places,
    forget,
    hole_of,
    left_edge,
    places_of,
)
from loading.planner.search.score import (
    W_DEPTH,
    W_HEIGHT,
    W_LEAST,
    W_NOISE,
    W_SIZE,
    most_score,
    score_bound,
)

REACH_BACK = 1000  # mm: how far behind the tier's start a piece may still be slid in
DEEPEST = 2500  # mm, see the contract's R9
EARLY = 0.35  # what a piece of a later turn scores
PROBE = 60  # mm: thinner than any piece
ALIKE_TRIED = 2  # pieces about alike that are tried at a place
ANY_SCORE = 1e12
SURVEYED = 24  # cells

# Entries of the bounds that a tier is built within.
B_START, B_AIM, B_DEEP, B_PIECES, B_EARLY, B_WIDE = range(6)


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
def open_desk(goods: Goods, state: State, desk: Desk, bounds: Longs) -> None:
    """Lay out the limits of a tier and the boxes that its pieces may touch."""
    lim = desk.lim
    lim[LEAST] = max(0, bounds[B_START] - REACH_BACK)
    lim[START], lim[AIM], lim[END] = bounds[B_START], bounds[B_AIM], goods.interior[0]
    lim[DEEP], lim[REAR], lim[FRONT] = min(bounds[B_DEEP], DEEPEST), 1 << 30, 0
    n = 0
    for b in range(state.tally[BOXES]):
        if state.box[b, X1] > lim[LEAST]:
            desk.near[n] = b
            n += 1
    desk.used[NEAR] = n


@inlined
def set_down(
    goods: Goods, state: State, desk: Desk, i: int, turn: int, y: int, z: int, host: int
) -> int:
    """Place piece i as `try_place` found it, near to all that follows; the new box."""
    b = put(goods, state, desk, i, turn, y, z, host)
    desk.near[desk.used[NEAR]] = b
    desk.used[NEAR] += 1
    widen(state, desk, b)
    return b


@inlined
def widen(state: State, desk: Desk, b: int) -> None:
    """Note how far the tier reaches with box b."""
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
    n = 0
    for k in range(len(desk.by_hope)):
        i = desk.by_hope[k]
        key = _key(goods, i)
        desk.early[i] = EARLY if key < most else 1.0
        if skip[i] == 0 and key >= least and within_reach(goods, state, i):
            desk.candidate[n] = i
            n += 1
    desk.used[CANDIDATES] = n


@inlined
def _place_factor(goods: Goods, state: State, desk: Desk, p: int, weights: Reals) -> float:
    """What height and depth take from any score at a place; -1 where the tier has no room left.

    Seen for a probe in the place's corner: no piece comes nearer to the nose than that.
    """
    y, z = desk.place[p, P_Y], desk.place[p, P_Z]
    if desk.place[p, P_HOST] >= 0:
        return ANY_SCORE
    if desk.place[p, P_SIDE] <= 0:
        y -= PROBE
    x = desk.lim[LEAST]
    box = state.box
    for k in range(desk.used[NEAR]):
        b = desk.near[k]
        if box[b, X1] > x and box[b, Y0] < y + PROBE and box[b, Y1] > y:
            if box[b, Z0] < z + PROBE and box[b, Z1] > z and box[b, ITEM] != BLOCKED:
                x = box[b, X1]
    if x + PROBE > desk.lim[END]:
        return -1.0
    factor = 1.0 - weights[W_HEIGHT] * z / goods.interior[2]
    ahead = x - desk.lim[START]
    if ahead > 0:
        factor /= 1.0 + weights[W_DEPTH] * ahead * 1e-3
    return float(factor)


@inlined
def _look_up(goods: Goods, state: State, desk: Desk, p: int) -> float:
    """List the near boxes above a place's floor, and the tops; how much (mm2) may carry there."""
    z, host = desk.place[p, P_Z], desk.place[p, P_HOST]
    box = state.box
    n, tops, area = 0, 0, 0.0
    for k in range(desk.used[NEAR]):
        b = desk.near[k]
        if box[b, Z1] > z:
            desk.high[n] = b
            n += 1
        elif box[b, Z1] >= z - REST and box[b, ITEM] != ROLLS:
            desk.top[tops] = b
            tops += 1
            if box[b, ITEM] < 0 or goods.bears[box[b, ITEM]] > state.carried[b]:
                area += float(box[b, X1] - box[b, X0]) * (box[b, Y1] - box[b, Y0])
    desk.used[HIGH_UP], desk.used[TOPS] = n, tops
    return ANY_SCORE if z <= 0 or host >= 0 else area


@inlined
def _survey(state: State, desk: Desk, p: int) -> None:
    """How far the face reaches, at most and in all, within each rectangle of cells at a place.

    Entry (a, b): a cells away from the place's side, b cells up, no more than SURVEYED. By it the
    room behind a piece is known without trying it; see `score_bound`.
    """
    face, most, total = state.face, desk.most, desk.total
    at, low = (desk.place[p, P_Y] + CELL // 2) // CELL, (desk.place[p, P_Z] + CELL // 2) // CELL
    columns, rows = min(SURVEYED, most.shape[0] - 1), min(SURVEYED, most.shape[1] - 1)
    ahead = desk.place[p, P_SIDE] > 0
    for b in range(rows + 1):
        most[0, b], total[0, b] = 0, 0
    for a in range(1, columns + 1):
        c = at + a - 1 if ahead else at - a
        most[a, 0], total[a, 0] = 0, 0
        for b in range(1, rows + 1):
            r = low + b - 1
            value = face[c, r] if 0 <= c < face.shape[0] and r < face.shape[1] else 0
            most[a, b] = max(most[a - 1, b], most[a, b - 1], value)
            total[a, b] = total[a - 1, b] + total[a, b - 1] - total[a - 1, b - 1] + value


@inlined
def _alone(goods: Goods, desk: Desk, p: int, y: int, dy: int, a: int, b: int) -> bool:
    """Whether nothing stands close to the far side of a piece of a by b cells at a place."""
    if a + 2 > SURVEYED or desk.most[a + 2, b] > desk.most[a, b]:
        return False
    far = goods.interior[1] - y - dy if desk.place[p, P_SIDE] > 0 else y
    return bool(far > SNUG)


@inlined
def _bound(goods: Goods, desk: Desk, p: int, i: int, t: int, weights: Reals) -> float:
    """The most that piece i can score at a place in turn t; -1 where it cannot stand.

    After `_survey`; for places with a side and without a host.
    """
    lim, z = desk.lim, desk.place[p, P_Z]
    dx, dy, dz = goods.size[i, t, 0], goods.size[i, t, 1], goods.size[i, t, 2]
    y = left_edge(goods, desk, p, i, t)
    if y < 0 or y + dy > goods.interior[1] or z + dz > goods.interior[2]:
        return -1.0
    a = (y + dy + CELL // 2) // CELL - (y + CELL // 2) // CELL
    b = (z + dz + CELL // 2) // CELL - (z + CELL // 2) // CELL
    whole = 0 < a <= SURVEYED and 0 < b <= SURVEYED
    a, b = min(a, SURVEYED, desk.most.shape[0] - 1), min(b, SURVEYED, desk.most.shape[1] - 1)
    x = max(lim[LEAST], desk.most[a, b])
    if x + dx > lim[END]:
        return -1.0
    if x >= lim[REAR] and max(x + dx, lim[FRONT]) - lim[REAR] > max(
        lim[DEEP], dx, lim[FRONT] - lim[REAR]
    ):
        return -1.0
    behind, held = 0.0, 2.0
    if whole:
        behind = (x - desk.total[a, b] / (a * b)) * dy * dz * 1e-9
        if _alone(goods, desk, p, y, dy, a, b):
            held = 1.0
    power = desk.power[i]
    return score_bound(goods, i, x, z, dx, dy, dz, behind, power, held, lim, weights) * 1.000001


@bare
def _judge(goods: Goods, state: State, desk: Desk, p: int, weights: Reals) -> None:
    """Find the best piece for a place; only new pieces are tried where it was judged before."""
    full = desk.known[p] == 0
    if full:
        desk.best[p], desk.best_item[p] = 0.0, -1
    host, z = int(desk.place[p, P_HOST]), int(desk.place[p, P_Z])
    factor = _place_factor(goods, state, desk, p, weights)
    if factor < 0.0:  # nothing gets in here any more
        desk.known[p] = 2
        return
    if host >= 0:
        hole_of(goods, state, desk, host, int(desk.place[p, P_HOLE]))
    sided = full and host < 0 and desk.place[p, P_SIDE] != 0
    carries = -1.0
    desk.seen[:] = 0
    for c in range(desk.used[CANDIDATES]):
        i = desk.candidate[c]
        if not full and desk.tried[i] == 1:
            continue
        if host < 0:
            if desk.hope[i] * factor <= desk.best[p]:
                break
            if desk.seen[goods.family[i]] >= ALIKE_TRIED:
                continue
            desk.seen[goods.family[i]] += 1
        if carries < 0.0:
            carries = _look_up(goods, state, desk, p)
            if sided:
                _survey(state, desk, p)
        share = desk.factor[i] * desk.early[i]
        for t in range(goods.turns[i]):
            dz = goods.size[i, t, 2]
            if z + dz > goods.interior[2] or 0.8 * (goods.volume[i] // dz) > carries:
                continue
            if sided and _bound(goods, desk, p, i, t, weights) * share <= desk.best[p]:
                continue
            s = share * try_place(
                goods, state, desk, desk.high, desk.used[HIGH_UP], desk.top, desk.used[TOPS],
                i, t, left_edge(goods, desk, p, i, t), z, host, weights,
            )  # fmt: skip
            if s > desk.best[p]:
                desk.best[p], desk.best_item[p], desk.best_turn[p] = s, i, t
    desk.known[p] = 1


@inlined
def _best_place(desk: Desk, least: float) -> int:
    top = -1
    for p in range(desk.used[PLACES]):
        if desk.best_item[p] >= 0 and desk.best[p] > least:
            if top < 0 or desk.best[p] > desk.best[top]:
                top = p
    return top


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
def _fill_up(desk: Desk) -> None:
    """From now on whatever fits without making the tier deeper."""
    desk.lim[END], desk.lim[DEEP] = desk.lim[FRONT], DEEPEST
    for p in range(desk.used[PLACES]):
        desk.known[p] = 0  # also those that the aim of the tier had closed


@kernel
def build_tier(
    goods: Goods, state: State, desk: Desk, pull_order: Longs, bounds: Longs, weights: Reals,
    seed: Longs, skip: Ints, wish: Reals, begun: int,
) -> int:  # fmt: skip
    """Add one tier to the load; how many pieces it got.

    `bounds`: start of the tier, depth aimed at, deepest it may get, most pieces, how much (mm3) of
    what must go first may still be waiting when pieces of the next turn come in, and 1 to try
    places off the walls too. `weights`: see `score`. `skip` (n,): pieces that are not to be tried;
    `wish` (n,): factors on their scores. `begun`: the tier's first box if it has been begun and is
    only to be filled up, else -1.
    """
    if begun < 0:
        state.tally[TIERS] += 1
    open_desk(goods, state, desk, bounds)
    first_places(goods, state, desk, int(bounds[B_START]), begun, bounds[B_WIDE])
    _hopes(goods, desk, weights, seed, wish)
    placed = 0
    refill(goods, state, pull_order)
    filling, least = False, weights[W_LEAST]
    if begun >= 0:
        for b in range(begun, state.tally[BOXES]):
            widen(state, desk, b)
        filling, least = True, 0.0
        _fill_up(desk)
    while placed < bounds[B_PIECES] and state.tally[BOXES] < state.box.shape[0] - 1:
        _candidates(goods, state, desk, skip, bounds[B_EARLY])
        for p in range(desk.used[PLACES]):
            if desk.known[p] != 2:
                _judge(goods, state, desk, p, weights)
        for c in range(desk.used[CANDIDATES]):
            desk.tried[desk.candidate[c]] = 1
        top = _best_place(desk, least)
        if top < 0:
            if filling or placed == 0:
                break
            filling, least = True, 0.0
            _fill_up(desk)
            continue
        b = _take_place(goods, state, desk, top, weights)
        if b >= 0:
            placed += 1
            _new_places(goods, state, desk, b, bounds[B_WIDE])
            refill(goods, state, pull_order)
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


@inlined
def _key(goods: Goods, i: int) -> int:
    return goods.stop[i] * 2 + 1 - goods.last_on[i]
