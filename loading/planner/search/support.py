"""What a piece rests on, and how much more may rest on it.

Tops that are a little too low are levelled with rolled pads (the contract's R4 allows 100 mm of
them): above the bases of a tier hardly two tops are at the same height.
"""

from __future__ import annotations

from loading.planner.search.arrays import (
    BOXES,
    CONTACTS,
    FIRST,
    FIXED,
    ITEM,
    LEAST,
    MOST_BEDS,
    RANK,
    ROLLS,
    S_BEDS,
    S_CONTACTS,
    S_RANK,
    UNDER,
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
from loading.planner.search.rolls import (
    REST,
    ROLL_LEAST,
    ROLL_LONG,
    add_roll,
    overlap,
    slot_for,
)

SUPPORT = 0.80
LEVELLED = 100  # mm of pads that may lie under a piece
BED_LEAST = 60  # mm: narrower strips of a top are not levelled


@inlined
def goes_after(goods: Goods, i: int, o: int) -> bool:
    """Whether piece i leaves the truck later than piece o, which it may neither bar nor load."""
    return goods.stop[o] < goods.stop[i] or (
        goods.stop[o] == goods.stop[i] and goods.last_on[o] > goods.last_on[i]
    )


@inlined
def _may_lie_on(goods: Goods, state: State, i: int, b: int) -> bool:
    it = state.box[b, ITEM]
    if it < 0:
        return True
    if goods.bears[it] <= 0 or goes_after(goods, i, it):
        return False
    both = goods.carton[i] == 1 and goods.carton[it] == 1
    return not both or goods.weight[i] * 10 <= goods.weight[it] * 11


@inlined
def _lean_on(state: State, desk: Desk, b: int, area: float) -> None:
    n = desk.spot[S_CONTACTS]
    desk.under[n], desk.share[n] = b, area
    desk.spot[S_CONTACTS] = n + 1
    if state.box[b, ITEM] >= 0:
        desk.spot[S_RANK] = max(desk.spot[S_RANK], state.box[b, RANK])


@bare
def _under_bed(state: State, tops: Longs, tops_n: int, roll: int, z: int) -> int:
    """The one box that lies under a roll which was in the truck before the search, to be a bed for
    a piece at height z that is still to come; -1 if there is none, or if the roll is no bed."""
    box, found = state.box, -1
    if roll >= state.tally[FIXED]:
        return -1
    for k in range(tops_n):
        o = tops[k]
        if o == roll or not box[roll, Z0] - REST <= box[o, Z1] <= box[roll, Z0]:
            continue
        if overlap(box[roll, X0], box[roll, X1], box[o, X0], box[o, X1]) > 0:
            if overlap(box[roll, Y0], box[roll, Y1], box[o, Y0], box[o, Y1]) > 0:
                if found >= 0 or box[o, ITEM] == ROLLS or z - box[o, Z1] > LEVELLED:
                    return -1
                found = o
    return int(found)


@inlined
def rest_on(
    goods: Goods, state: State, desk: Desk, tops: Longs, tops_n: int,
    i: int, x: int, x1: int, y: int, y1: int, z: int, host: int,
) -> float:  # fmt: skip
    """Find the tops that carry piece i: how much of it (mm2) rests; -1 where it may not rest."""
    box = state.box
    on = 0.0
    for k in range(tops_n):
        b = tops[k]
        top = box[b, Z1]
        if b == host or top > z or top < z - REST:
            continue
        ox = overlap(x, x1, box[b, X0], box[b, X1])
        oy = overlap(y, y1, box[b, Y0], box[b, Y1])
        if ox <= 0 or oy <= 0:
            continue
        if box[b, ITEM] == ROLLS:  # it rests on what the roll lies on
            roll, b = b, _under_bed(state, tops, tops_n, b, z)
            if b < 0:
                return -1.0
            # The roll may reach beyond what it lies on.
            ox = overlap(max(x, box[roll, X0]), min(x1, box[roll, X1]), box[b, X0], box[b, X1])
            oy = overlap(max(y, box[roll, Y0]), min(y1, box[roll, Y1]), box[b, Y0], box[b, Y1])
            if ox <= 0 or oy <= 0:
                continue
        if desk.spot[S_CONTACTS] >= UNDER or not _may_lie_on(goods, state, i, b):
            return -1.0
        _lean_on(state, desk, b, float(ox) * oy)
        on += float(ox) * oy
    need = SUPPORT * float(x1 - x) * (y1 - y)
    if on < need:
        on = _level_up(goods, state, desk, tops, tops_n, i, x, x1, y, y1, z, on, need)
    return on if on >= need else -1.0


@bare
def _level_up(
    goods: Goods, state: State, desk: Desk, tops: Longs, tops_n: int,
    i: int, x: int, x1: int, y: int, y1: int, z: int, on: float, need: float,
) -> float:  # fmt: skip
    """Lay beds of rolled pads on tops that are a little too low, the widest first, until `need`
    mm2 rest; how much does.
    """
    box, low, wide = state.box, desk.low, desk.wide
    n, whole = 0, on
    for k in range(tops_n):
        b = tops[k]
        gap = z - box[b, Z1]
        if gap < ROLL_LEAST or gap > LEVELLED or box[b, ITEM] == ROLLS or n == len(low):
            continue
        ox = overlap(x, x1, box[b, X0], box[b, X1])
        oy = overlap(y, y1, box[b, Y0], box[b, Y1])
        if ox < BED_LEAST or oy < BED_LEAST or not _may_lie_on(goods, state, i, b):
            continue
        low[n], wide[n] = b, float(ox) * oy
        whole += wide[n]
        n += 1
    while on < need <= whole and desk.spot[S_CONTACTS] < UNDER:
        pick = 0
        for k in range(1, n):
            if wide[k] > wide[pick]:
                pick = k
        b, area = low[pick], wide[pick]
        wide[pick] = 0.0
        if _make_beds(
            state, desk, b,
            max(x, box[b, X0]), min(x1, box[b, X1]), max(y, box[b, Y0]), min(y1, box[b, Y1]), z,
        ):  # fmt: skip
            _lean_on(state, desk, b, area)
            on += area
        else:
            whole -= area
    return on


@bare
def _make_beds(
    state: State, desk: Desk, b: int, x0: int, x1: int, y0: int, y1: int, z1: int
) -> bool:  # fmt: skip
    """Lay a stretch of box b's top with beds, none longer than a thin roll may be."""
    kept = desk.spot[S_BEDS]
    nx, ny = -(-(x1 - x0) // ROLL_LONG), -(-(y1 - y0) // ROLL_LONG)
    for k in range(nx):
        for r in range(ny):
            if not _make_bed(
                state, desk, b,
                x0 + (x1 - x0) * k // nx, x0 + (x1 - x0) * (k + 1) // nx,
                y0 + (y1 - y0) * r // ny, y0 + (y1 - y0) * (r + 1) // ny, z1,
            ):  # fmt: skip
                desk.spot[S_BEDS] = kept
                return False
    return True


@bare
def _make_bed(
    state: State, desk: Desk, b: int, x0: int, x1: int, y0: int, y1: int, z1: int
) -> bool:  # fmt: skip
    """Lay one bed, if it can be put in before those nearer to the doors."""
    lim, bed, n = desk.lim, desk.bed, desk.spot[S_BEDS]
    z0 = state.box[b, Z1]
    if n == MOST_BEDS:
        return False
    before = slot_for(state, int(lim[FIRST]), int(lim[LEAST]), b, x0, x1, y0, y1, z0, z1)
    if before < 0:
        return False
    at = n
    for k in range(n - 1, -1, -1):
        ahead = bed[k, X0] > x0
        if overlap(y0, y1, bed[k, Y0], bed[k, Y1]) > 0 and overlap(z0, z1, bed[k, Z0], z1) > 0:
            if (ahead and bed[k, 6] < before) or (not ahead and bed[k, 6] > before):
                return False
        if ahead:
            for c in range(7):
                bed[k + 1, c] = bed[k, c]
            at = k
    bed[at, X0], bed[at, X1], bed[at, Y0], bed[at, Y1] = x0, x1, y0, y1
    bed[at, Z0], bed[at, Z1], bed[at, 6] = z0, z1, before
    desk.spot[S_BEDS] = n + 1
    return True


@inlined
def put_beds(state: State, desk: Desk) -> None:
    """Put in the beds that the piece put next rests on."""
    beds = desk.spot[S_BEDS]
    piece = state.tally[BOXES] + beds
    for k in range(beds):
        add_roll(
            state, desk.bed[k, X0], desk.bed[k, X1], desk.bed[k, Y0], desk.bed[k, Y1],
            desk.bed[k, Z0], desk.bed[k, Z1], min(desk.bed[k, 6], piece),
        )  # fmt: skip


@inlined
def extra_on(
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
