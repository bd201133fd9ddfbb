"""Places where a piece may come to stand: corners that boxes make with the walls and each other."""

from __future__ import annotations

from loading.planner.search.arrays import (
    HOST,
    ITEM,
    MOST_PLACES,
    NEAR,
    PLACES,
    ROLLS,
    TURN,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    Desk,
    Goods,
    State,
)
from loading.planner.search.kernel import bare, inlined
from loading.planner.search.support import LEVELLED

# A place: side +1: the piece's left edge is at y; -1: its right edge; 0: its middle. `host` is the
# box in whose opening number `hole` it rides, or -1.
P_Y, P_Z, P_SIDE, P_HOST, P_HOLE = range(5)
ROLLED = 860  # mm: about the widest gap that rolls hold
BEHIND = 700  # mm: boxes that end no farther behind the tier's start make places for it
LOW_ROOF = 60  # mm: nothing fits above a top this near to the roof


@bare
def add_place(desk: Desk, y: int, z: int, side: int, host: int, hole: int) -> None:
    """Add a place to be judged, unless it is known."""
    n, place = desk.used[PLACES], desk.place
    for k in range(n):
        if (
            place[k, P_Y] == y
            and place[k, P_Z] == z
            and place[k, P_SIDE] == side
            and place[k, P_HOST] == host
            and place[k, P_HOLE] == hole
        ):
            return
    if n < MOST_PLACES:
        place[n, P_Y], place[n, P_Z], place[n, P_SIDE] = y, z, side
        place[n, P_HOST], place[n, P_HOLE] = host, hole
        desk.known[n] = 0
        desk.used[PLACES] = n + 1


@inlined
def left_edge(goods: Goods, desk: Desk, p: int, i: int, turn: int) -> int:
    """Where piece i's left edge comes to lie at a place: from it, up to it, or about it."""
    side, wide = desk.place[p, P_SIDE], goods.size[i, turn, 1]
    if side > 0:
        return int(desk.place[p, P_Y])
    return int(desk.place[p, P_Y] - (wide if side < 0 else wide // 2))


@bare
def first_places(goods: Goods, state: State, desk: Desk, start: int, begun: int, wide: int) -> None:
    """The places of a tier that starts at x = `start`: the walls, and what the face offers.

    `begun`: the tier's first box if it is only to be filled up, else -1; `wide`: 1 to try places
    off the walls too, which rolls would hold.
    """
    desk.used[PLACES] = 0
    right = int(goods.interior[1])
    add_place(desk, 0, 0, 1, -1, 0)
    add_place(desk, right, 0, -1, -1, 0)
    if wide > 0:
        add_place(desk, right // 2, 0, 0, -1, 0)
        add_place(desk, ROLLED, 0, 1, -1, 0)
        add_place(desk, right - ROLLED, 0, -1, -1, 0)
    box = state.box
    for k in range(desk.used[NEAR]):
        b = desk.near[k]
        if box[b, X1] <= start - BEHIND:
            continue
        places_of(goods, state, desk, b, begun >= 0 and b >= begun)
        if box[b, Z0] > 0 and box[b, X1] > start - 200:
            _beside(goods, desk, int(box[b, Y0]), int(box[b, Y1]), 0)


@inlined
def _beside(goods: Goods, desk: Desk, y0: int, y1: int, z: int) -> None:
    if y1 < goods.interior[1]:
        add_place(desk, y1, z, 1, -1, 0)
    if y0 > 0:
        add_place(desk, y0, z, -1, -1, 0)


@bare
def places_of(goods: Goods, state: State, desk: Desk, b: int, fresh: bool) -> None:
    """Add the places that box b makes: beside it, on it, in it, and where others end beside it."""
    box = state.box
    y0, y1, z0, z1 = box[b, Y0], box[b, Y1], box[b, Z0], box[b, Z1]
    _beside(goods, desk, y0, y1, z0)
    if box[b, ITEM] == ROLLS:
        return
    if z1 < goods.interior[2] - LOW_ROOF:
        _on_top(goods, state, desk, b)
    if fresh:
        for k in range(desk.used[NEAR]):
            o = desk.near[k]
            if box[o, Z1] <= z0 or box[o, Z1] >= z1 or box[o, ITEM] == ROLLS:
                continue
            if box[o, Y0] < y1 + 400 and box[o, Y1] > y1:
                add_place(desk, y1, box[o, Z1], 1, -1, 0)
            if box[o, Y1] > y0 - 400 and box[o, Y0] < y0:
                add_place(desk, y0, box[o, Z1], -1, -1, 0)
    i, host = box[b, ITEM], box[b, HOST]
    if i >= 0 and host < 0:
        for h in range(goods.opening.shape[2]):
            hole = goods.opening[i, box[b, TURN], h]
            if hole[3] > 0:
                add_place(desk, y0 + hole[1], z0 + hole[2], 1, b, h)
    elif i >= 0 and fresh:
        add_place(desk, y1, z0, 1, host, 0)
        add_place(desk, y0, z1, 1, host, 0)
        add_place(desk, y0, z0, 1, host, 0)


@inlined
def _on_top(goods: Goods, state: State, desk: Desk, b: int) -> None:
    """Places on box b: at its own edges, and against what rises higher on either side."""
    box = state.box
    y0, y1, z1 = box[b, Y0], box[b, Y1], box[b, Z1]
    add_place(desk, y0, z1, 1, -1, 0)
    add_place(desk, y1, z1, -1, -1, 0)
    left, right = 0, goods.interior[1]
    for k in range(desk.used[NEAR]):
        o = desk.near[k]
        if o == b or box[o, Z0] > z1 or box[o, Z1] <= z1 + 10 or box[o, X1] <= box[b, X0] + 50:
            continue
        if box[o, Y1] <= y0 and box[o, Y1] > left:
            left = box[o, Y1]
        if box[o, Y0] >= y1 and box[o, Y0] < right:
            right = box[o, Y0]
    add_place(desk, left, z1, 1, -1, 0)
    add_place(desk, right, z1, -1, -1, 0)


@inlined
def hole_of(goods: Goods, state: State, desk: Desk, host: int, h: int) -> None:
    """Write the opening h of a standing host into `desk.hole`, in the truck's frame."""
    box, hole = state.box, desk.hole
    o = goods.opening[box[host, ITEM], box[host, TURN], h]
    hole[0], hole[1], hole[2] = box[host, X0] + o[0], box[host, Y0] + o[1], box[host, Z0] + o[2]
    hole[3], hole[4], hole[5] = o[3], o[4], o[5]


@bare
def forget(goods: Goods, state: State, desk: Desk, b: int, n: int) -> None:
    """Have those of the first n places judged anew whose room box b took or changed.

    Where it took only the best piece, the others score no more than that: such a place is judged
    anew when it comes to be the best.
    """
    y0, y1, z0, z1 = state.box[b, Y0], state.box[b, Y1], state.box[b, Z0], state.box[b, Z1]
    for p in range(n):
        if desk.known[p] != 1 and desk.known[p] != 3:
            continue
        i, z = desk.best_item[p], desk.place[p, P_Z]
        if i < 0:
            y = desk.place[p, P_Y]
            if z1 <= z <= z1 + LEVELLED and y >= y0 - 600 and y <= y1 + 600:
                desk.known[p] = 0
            continue
        t = desk.best_turn[p]
        y = left_edge(goods, desk, p, i, t)
        if (
            y < y1 + 160
            and y + goods.size[i, t, 1] > y0 - 160
            and z < z1 + 60
            and z + goods.size[i, t, 2] > z0 - 60
        ):
            desk.known[p] = 0
        elif i == state.box[b, ITEM]:
            desk.known[p] = 3
