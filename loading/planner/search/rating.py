"""Which piece suits a place best, trying only those that could win there."""

from __future__ import annotations

from loading.planner.search.arrays import (
    BLOCKED,
    CANDIDATES,
    CELL,
    DEEP,
    END,
    FRESH,
    FRONT,
    HIGH_UP,
    ITEM,
    LEAST,
    NEAR,
    REAR,
    ROLLS,
    START,
    TOPS,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    Desk,
    Goods,
    Reals,
    State,
)
from loading.planner.search.kernel import bare, inlined
from loading.planner.search.place import SNUG, TRAVEL, try_place
from loading.planner.search.places import (
    P_HOLE,
    P_HOST,
    P_SIDE,
    P_Y,
    P_Z,
    hole_of,
    left_edge,
)
from loading.planner.search.rolls import REST
from loading.planner.search.score import (
    W_DEPTH,
    W_HEIGHT,
    score_bound,
)
from loading.planner.search.support import LEVELLED, SUPPORT

PROBE = 60  # mm: thinner than any piece
ALIKE_TRIED = 2  # pieces about alike that are tried at a place
ANY_SCORE = 1e12
SURVEYED = 24  # cells


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
    """List the near boxes above a place's floor, and the tops; how much (mm2) may carry there.

    Along each column of cells also from where to where the tops reach.
    """
    z, host = desk.place[p, P_Z], desk.place[p, P_HOST]
    box, rear, reach = state.box, desk.rear, desk.reach
    n, tops, area = 0, 0, 0.0
    for c in range(len(reach)):
        rear[c], reach[c] = goods.interior[0], 0
    for k in range(desk.used[NEAR]):
        b = desk.near[k]
        if box[b, Z1] > z:
            desk.high[n] = b
            n += 1
        elif box[b, ITEM] == ROLLS:
            if box[b, Z1] >= z - REST:
                desk.top[tops] = b
                tops += 1
        elif box[b, Z1] >= z - LEVELLED:
            desk.top[tops] = b
            tops += 1
            if box[b, ITEM] < 0 or goods.bears[box[b, ITEM]] > state.carried[b]:
                area += float(box[b, X1] - box[b, X0]) * (box[b, Y1] - box[b, Y0])
                for c in range(box[b, Y0] // CELL, (box[b, Y1] - 1) // CELL + 1):
                    rear[c] = min(rear[c], box[b, X0])
                    reach[c] = max(reach[c], box[b, X1])
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
def _may_rest(desk: Desk, x: int, dx: int, y: int, dy: int) -> bool:
    """Whether tops reach far enough under a piece that comes no nearer to the nose than x.

    It may stand off a little, see `try_place`.
    """
    rest = 0
    for c in range(y // CELL, (y + dy - 1) // CELL + 1):
        wide = min(y + dy, (c + 1) * CELL) - max(y, c * CELL)
        at = max(x, min(desk.rear[c], x + TRAVEL))
        rear = max(at, desk.rear[c])
        rest += wide * max(0, min(at + dx, desk.reach[c]) - rear)
    return bool(rest >= SUPPORT * dx * dy)


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
    if z > 0 and not _may_rest(desk, x, dx, y, dy):
        return -1.0
    behind, held = 0.0, 2.0
    if whole:
        behind = (x - desk.total[a, b] / (a * b)) * dy * dz * 1e-9
        if _alone(goods, desk, p, y, dy, a, b):
            held = 1.0
    power = desk.power[i]
    return score_bound(goods, i, x, z, dx, dy, dz, behind, power, held, lim, weights) * 1.000001


@bare
def rate_place(goods: Goods, state: State, desk: Desk, p: int, weights: Reals) -> None:
    """Find the best piece for a place; only new pieces are tried where it was judged before."""
    known = desk.known[p]
    full = known == 0
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
    for c in range(desk.used[CANDIDATES] if full else desk.used[FRESH]):
        i = desk.candidate[c] if full else desk.fresh[c]
        if host < 0:
            if z == 0 and desk.raised[i] == 1:
                continue
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
                known = 1
    desk.known[p] = 1 if full else known
