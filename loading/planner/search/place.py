"""Judging and making one placement: the compiled heart of the search.

A piece is slid in from the doors until it meets what stands there (the face of the load), and
must then stand by itself. `try_place` finds where it comes to rest and what that would cost; `put`
makes it so. Scores follow one idea: goods placed against the space that nothing can use any more
(behind, above and beside the piece).
"""

from __future__ import annotations

from loading.planner.search.arrays import (
    BEFORE,
    BLOCKED,
    BOXES,
    CELL,
    CONTACTS,
    DEEP,
    END,
    FIRST,
    FLOOR,
    FRONT,
    HIGH,
    HOST,
    IN_TRUCK,
    ITEM,
    KILOS,
    LEAST,
    LENGTH,
    MOMENT,
    NEVER,
    NOSE,
    ON_FLOOR,
    PLACED,
    RANK,
    REAR,
    ROLLS,
    ROW,
    S_BEDS,
    S_CONTACTS,
    S_HIGH,
    S_LEFT,
    S_NOSE,
    S_RANK,
    S_RIGHT,
    S_X,
    TIER,
    TIERS,
    TURN,
    VOLUME,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    Desk,
    Goods,
    Longs,
    Reals,
    State,
)
from loading.planner.search.kernel import bare, inlined
from loading.planner.search.rolls import REST, overlap
from loading.planner.search.score import guest_score, score_of
from loading.planner.search.support import SUPPORT, extra_on, goes_after, put_beds, rest_on

FACE = 0.10  # share of a face that must meet something to be held
TRAVEL = 150  # mm
UNHELD = -1e9
SNUG = 30  # mm: a gap that hardly lets a piece move

BED_COST = 0.03  # share of its score that a piece loses with each bed of pads under it


@bare
def held_at(where: Reals, rect: Longs, n: int, need: float) -> float:
    """Where a pushed face stops: contacts met first count first, until they cover enough.

    `where` (n,) positions, the larger is met first; `rect` (n, 4) the low and high edges of each
    contact on the face. Overlaps are taken off in pairs, which never counts too much. UNHELD when
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
            ou = overlap(u0, u1, rect[k, 0], rect[k, 2])
            ov = overlap(v0, v1, rect[k, 1], rect[k, 3])
            if ou > 0 and ov > 0:
                new -= float(ou) * ov
        met += max(0.0, new)
        if met >= need:
            return where[done]
    return UNHELD


@inlined
def _slide(
    goods: Goods, state: State, near: Longs, near_n: int, i: int, least: int, dx: int,
    y: int, y1: int, z: int, z1: int, host: int,
) -> int:  # fmt: skip
    """Where piece i's nose side comes to rest, slid in from the doors; -1 if it would bar a way."""
    box = state.box
    x = least
    for k in range(near_n):
        b = near[k]
        if b == host or box[b, ITEM] == BLOCKED:
            continue
        if (
            overlap(y, y1, box[b, Y0], box[b, Y1]) > 0
            and overlap(z, z1, box[b, Z0], box[b, Z1]) > 0
        ):
            if box[b, X1] > x:
                x = box[b, X1]
            if box[b, ITEM] >= 0 and goes_after(goods, i, box[b, ITEM]):
                return -1
    for k in range(near_n):
        b = near[k]
        if (
            box[b, ITEM] == BLOCKED
            and overlap(y, y1, box[b, Y0], box[b, Y1]) > 0
            and overlap(z, z1, box[b, Z0], box[b, Z1]) > 0
            and overlap(x, x + dx, box[b, X0], box[b, X1]) > 0
        ):
            x = box[b, X1]
    return int(x)


@inlined
def _beyond(lim: Longs, x: int, dx: int) -> bool:
    """Whether a piece at x would reach beyond the end or make the tier too deep."""
    deep = max(x + dx, lim[FRONT]) - min(x, lim[REAR])
    return bool(x + dx > lim[END] or deep > max(lim[DEEP], dx, lim[FRONT] - lim[REAR]))


@bare
def _rear_edge(state: State, tops: Longs, tops_n: int, x: int, y: int, y1: int, z: int) -> int:
    """Up to where a piece is not slid in all the way, to stand on what is under it; x if nowhere.

    The play behind it is within what R14 allows.
    """
    box, edge = state.box, x
    for k in range(tops_n):
        b = tops[k]
        if z - REST <= box[b, Z1] <= z and edge < box[b, X0] < x + TRAVEL - 2:
            if overlap(y, y1, box[b, Y0], box[b, Y1]) > 0 and box[b, ITEM] != ROLLS:
                edge = box[b, X0]
    return int(edge)


@bare
def _blocked(
    state: State, near: Longs, near_n: int, x: int, x1: int, y: int, y1: int, z: int, z1: int
) -> bool:
    """Whether a piece would share space with what is built into the truck."""
    box = state.box
    for k in range(near_n):
        b = near[k]
        if box[b, ITEM] == BLOCKED and overlap(x, x1, box[b, X0], box[b, X1]) > 0:
            if overlap(y, y1, box[b, Y0], box[b, Y1]) > 0:
                if overlap(z, z1, box[b, Z0], box[b, Z1]) > 0:
                    return True
    return False


@inlined
def _around(
    goods: Goods, state: State, desk: Desk, near: Longs, near_n: int,
    x: int, x1: int, y: int, y1: int, z: int, z1: int,
) -> tuple[float, float, float, float]:  # fmt: skip
    """See what stands before and beside the piece: how far it travels to the nose, how well its two
    sides are held (0 to 2), how far its top (0 to 1) and its front (0 to 1) go on beside it.

    -1 for what is held where something lies on it or it travels too far.
    """
    box, spot, pos, rect = state.box, desk.spot, desk.pos, desk.rect
    n, left_cov, right_cov, level, even = 0, 0.0, 0.0, 0.0, 0.0
    left_gap, right_gap = y, goods.interior[1] - y1
    side = float(x1 - x) * (z1 - z)
    for k in range(near_n):
        b = near[k]
        oz = overlap(z, z1, box[b, Z0], box[b, Z1])
        oy = overlap(y, y1, box[b, Y0], box[b, Y1])
        ox = overlap(x, x1, box[b, X0], box[b, X1])
        if ox > 0 and oy > 0 and -1 <= box[b, Z0] - z1 <= REST:
            return 0.0, -1.0, 0.0, 0.0
        if oz <= 1:
            continue
        if oy > 1 and box[b, X1] <= x + 1:
            # Not counted on: rolls, which may slide themselves, and what rides in an opening.
            if box[b, ITEM] != ROLLS and box[b, HOST] < 0 and n < 64:
                pos[n] = box[b, NOSE] + box[b, X1] - box[b, X0]
                rect[n, 0], rect[n, 2] = max(y, box[b, Y0]), min(y1, box[b, Y1])
                rect[n, 1], rect[n, 3] = max(z, box[b, Z0]), min(z1, box[b, Z1])
                n += 1
                if x - box[b, X1] <= SNUG and abs(box[b, Z1] - z1) <= REST:
                    level += float(oy) / (y1 - y)
        elif ox > 1:
            touch = float(ox) * oz
            if box[b, Y1] <= y + 1:
                if y - box[b, Y1] < left_gap and touch >= 0.03 * side:
                    left_gap = y - box[b, Y1]
                if y - box[b, Y1] <= SNUG:
                    left_cov += touch
                    if abs(box[b, Z1] - z1) <= REST:
                        level += float(ox) / (x1 - x)
                    if abs(box[b, X1] - x1) <= SNUG:
                        even += float(oz) / (z1 - z)
            elif box[b, Y0] >= y1 - 1:
                if box[b, Y0] - y1 < right_gap and touch >= 0.03 * side:
                    right_gap = box[b, Y0] - y1
                if box[b, Y0] - y1 <= SNUG:
                    right_cov += touch
                    if abs(box[b, Z1] - z1) <= REST:
                        level += float(ox) / (x1 - x)
                    if abs(box[b, X1] - x1) <= SNUG:
                        even += float(oz) / (z1 - z)
    spot[S_LEFT], spot[S_RIGHT] = left_gap, right_gap
    if y <= SNUG:
        left_cov = side
    if goods.interior[1] - y1 <= SNUG:
        right_cov = side
    held = min(1.0, left_cov / side) + min(1.0, right_cov / side)
    stop = 0.0
    if x > 0:
        stop = max(0.0, held_at(pos, rect, n, FACE * 1.01 * (y1 - y) * (z1 - z)))
    if x - stop > TRAVEL - 2:
        return 0.0, -1.0, 0.0, 0.0
    return x - stop, held, min(1.0, level), min(1.0, even)


@inlined
def _stand(
    goods: Goods, state: State, desk: Desk, near: Longs, near_n: int, tops: Longs, tops_n: int,
    i: int, x: int, dx: int, y: int, y1: int, z: int, z1: int, host: int,
) -> tuple[int, float]:  # fmt: skip
    """Where piece i stands on what is under it, and on how much (mm2); -1 where it cannot.

    At x; else, short of it, with as much of it on the tops as it needs; else quite on them.
    """
    at, edge, on = x, x, -1.0
    for attempt in range(3):
        if attempt == 1:
            edge = _rear_edge(state, tops, tops_n, x, y, y1, z)
            at = max(x + 1, edge - dx * (99 - int(100 * SUPPORT)) // 100)
        elif attempt == 2:
            at = edge
        if attempt > 0 and (
            edge == x
            or _beyond(desk.lim, at, dx)
            or _blocked(state, near, near_n, at, at + dx, y, y1, z, z1)
        ):
            break
        desk.spot[S_RANK], desk.spot[S_CONTACTS], desk.spot[S_BEDS] = 0, 0, 0
        on = rest_on(goods, state, desk, tops, tops_n, i, at, at + dx, y, y1, z, host)
        if on >= 0.0 or host >= 0:
            break
    return at, on


@bare
def try_place(
    goods: Goods, state: State, desk: Desk, near: Longs, near_n: int, tops: Longs, tops_n: int,
    i: int, turn: int, y: int, z: int, host: int, weights: Reals,
) -> float:  # fmt: skip
    """Slide piece i in at (y, z); its score (above 0), or -1 where it cannot stand.

    `near`: boxes that matter, `tops`: those it may rest on; `host`: the box in whose opening
    (`desk.hole`) it rides, or -1.
    Leaves x, nose position, ranks and gaps in `desk.spot`, what it rests on in `desk.under` and
    `desk.share`.
    """
    hole, lim, spot = desk.hole, desk.lim, desk.spot
    dx, dy, dz = goods.size[i, turn, 0], goods.size[i, turn, 1], goods.size[i, turn, 2]
    y1, z1 = y + dy, z + dz
    if y < 0 or y1 > goods.interior[1] or z1 > goods.interior[2]:
        return -1.0
    if host >= 0 and (y1 > hole[1] + hole[4] or z1 > hole[2] + hole[5] or y < hole[1]):
        return -1.0
    least = lim[LEAST] if host < 0 else max(hole[0], 0)
    x = _slide(goods, state, near, near_n, i, least, dx, y, y1, z, z1, host)
    if x < 0 or (host >= 0 and x + dx > hole[0] + hole[3]):
        return -1.0
    on = float(dx) * dy
    spot[S_RANK], spot[S_CONTACTS], spot[S_BEDS] = 0, 0, 0
    if _beyond(lim, x, dx):
        return -1.0
    if host >= 0 and hole[2] > state.box[host, Z0] + 1:
        desk.under[0], desk.share[0], spot[S_CONTACTS] = host, on, 1
    elif z > 0:
        x, on = _stand(goods, state, desk, near, near_n, tops, tops_n, i, x, dx, y, y1, z, z1, host)
        if on < 0.0:
            return -1.0
    x1 = x + dx
    spot[S_X] = x
    spot[S_HIGH] = goods.level[i] if goods.level[i] >= 0 else 2
    if spot[S_RANK] > spot[S_HIGH]:
        return -1.0
    for k in range(spot[S_CONTACTS]):
        desk.share[k] /= on
    extra = extra_on(goods, state, i, int(spot[S_CONTACTS]), desk.under, desk.share, desk.flow)
    if extra < 0.0:
        return -1.0
    if host >= 0:
        spot[S_NOSE], spot[S_LEFT], spot[S_RIGHT] = x, 0, 0
        return guest_score(dx, dy, dz)
    travel, held, level, even = _around(goods, state, desk, near, near_n, x, x1, y, y1, z, z1)
    if held < 0.0:
        return -1.0
    spot[S_NOSE] = x - max(0, int(travel))
    return (1.0 - BED_COST * spot[S_BEDS]) * score_of(
        goods, state, i, x, y, z, dx, dy, dz, spot[S_LEFT], spot[S_RIGHT], held, level, even,
        travel, extra, desk.power[i], lim, weights,
    )  # fmt: skip


@bare
def put(
    goods: Goods, state: State, desk: Desk, i: int, turn: int, y: int, z: int, host: int
) -> int:  # fmt: skip
    """Place piece i as `try_place` found it, on its beds; the index of its box, the newest."""
    spot, under, share = desk.spot, desk.under, desk.share
    put_beds(state, desk)
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
    load_down(state, desk.flow, b, float(goods.weight[i]))
    for k in range(b - spot[S_BEDS], b + 1):
        mark_face(state, k)
    _hurry_rolls(state, desk, b)
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


@inlined
def _hurry_rolls(state: State, desk: Desk, b: int) -> None:
    """Have the tier's rolls that box b would bar put in before it."""
    box = state.box
    for k in range(desk.lim[FIRST], b):
        if box[k, ITEM] == ROLLS and box[k, BEFORE] > b and box[k, X1] <= box[b, X0]:
            if overlap(box[k, Y0], box[k, Y1], box[b, Y0], box[b, Y1]) > 0:
                if overlap(box[k, Z0], box[k, Z1], box[b, Z0], box[b, Z1]) > 0:
                    box[k, BEFORE] = b


@bare
def load_down(state: State, flow: Reals, b: int, weight: float) -> None:
    """Add the weight (g) of box b to all that is under it; `flow` is all zero before and after."""
    flow[b] = weight
    for k in range(b, -1, -1):
        f = flow[k]
        if f <= 0.0:
            continue
        flow[k] = 0.0
        if k != b:
            state.carried[k] += f
        if state.box[k, ITEM] >= 0:
            for c in range(state.box[k, CONTACTS]):
                flow[state.under[k, c]] += f * state.share[k, c]


@bare
def mark_face(state: State, b: int) -> None:
    box = state.box
    c0, c1 = (box[b, Y0] + CELL // 2) // CELL, (box[b, Y1] + CELL // 2) // CELL
    r0, r1 = (box[b, Z0] + CELL // 2) // CELL, (box[b, Z1] + CELL // 2) // CELL
    for c in range(c0, min(c1, state.face.shape[0])):
        for r in range(r0, min(r1, state.face.shape[1])):
            if box[b, X1] > state.face[c, r]:
                state.face[c, r] = box[b, X1]
