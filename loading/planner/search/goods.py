"""From a load request to the arrays of the search."""

from __future__ import annotations

import numpy as np

from loading.planner.request import Item, LoadRequest
from loading.planner.search.arrays import (
    BEFORE,
    BLOCKED,
    BOXES,
    HIGH,
    HOST,
    ITEM,
    NEVER,
    NOSE,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    Goods,
    State,
    new_state,
)

FLOOR_FACTOR_TENTHS = 13  # a piece takes 1.3 times its smallest floor area on the dock
STACKS_FROM_G = 25_000  # a carton that bears this much waits in stacks of two
LEVELS = {"base": 0, "middle": 1, "top": 2}
ALIKE_MM, FAMILY_MM = 8, 60
TURN_COUNT, OPENING_COUNT = 6, 3
Turn = tuple[str, tuple[int, int, int], bool]


def turns_of(request: LoadRequest, item: Item) -> list[Turn]:
    """Ways in which a piece may ride and pass the door: posture, size, quarter turn or not."""
    length, width, height = request.as_loaded_mm(item)
    sizes = {
        "standing": (length, width, height),
        "on_side": (length, height, width),
        "on_end": (width, height, length),
    }
    door_wide, door_high = request.truck.door_mm
    out: list[Turn] = []
    for posture in item.postures:
        a, b, up = sizes[posture]
        if up > door_high or min(a, b) > door_wide:
            continue
        out.append((posture, (a, b, up), False))
        if abs(a - b) > ALIKE_MM:  # a quarter turn of what is nearly square gains nothing
            out.append((posture, (b, a, up), True))
    return out[:TURN_COUNT]


def floor_area_mm2(request: LoadRequest, item: Item) -> int:
    """Dock floor that a piece takes (contract R10), rounded up."""
    length, width, height = request.as_loaded_mm(item)
    flat = {"standing": length * width, "on_side": length * height, "on_end": width * height}
    area = min(flat[posture] for posture in item.postures) * FLOOR_FACTOR_TENTHS
    stacked = item.carton and not item.fragile and item.bears_g >= STACKS_FROM_G
    return -(-area // (20 if stacked else 10))


def goods_of(request: LoadRequest) -> tuple[Goods, list[list[Turn]]]:
    """The arrays, and for each piece its turns in the order of the arrays."""
    items = request.items
    n = len(items)
    turns = [turns_of(request, item) for item in items]
    index = {item.tag: k for k, item in enumerate(items)}
    size = np.zeros((n, TURN_COUNT, 3), np.int32)
    opening = np.zeros((n, TURN_COUNT, OPENING_COUNT, 6), np.int32)
    for k, item in enumerate(items):
        for t, (posture, dims, turned) in enumerate(turns[k]):
            size[k, t] = dims
            if posture == "standing":
                opening[k, t] = _openings(request, item, turned)
    vault = np.full(n, -1, np.int32)
    inside, order = [0], []
    for v, box in enumerate(request.vaults):
        order += [index[tag] for tag in box.items]
        inside.append(len(order))
        for tag in box.items:
            vault[index[tag]] = v
    i32 = np.int32
    goods = Goods(
        interior=np.array(request.truck.interior_mm, i32),
        size=size,
        turns=np.array([len(t) for t in turns], i32),
        weight=np.array([item.weight_g for item in items], i32),
        bears=np.array([0 if item.fragile else item.bears_g for item in items], i32),
        level=np.array([LEVELS.get(item.level or "", -1) for item in items], i32),
        carton=np.array([item.carton for item in items], i32),
        stop=np.array([item.stop for item in items], i32),
        last_on=np.array([item.last_on for item in items], i32),
        area=np.array([floor_area_mm2(request, item) for item in items], np.int64),
        vault=vault,
        stays=np.array([not item.leaves for item in items], i32),
        opening=opening,
        volume=np.array([int(np.prod(request.as_loaded_mm(item))) for item in items], np.int64),
        inside=np.array(inside, i32),
        order=np.array(order, i32),
        family=_families(request),
        dock=np.array([request.dock.vault_spots, request.dock.floor_mm2], np.int64),
        out=np.zeros(0, np.int64),
    )
    return goods, turns


def _families(request: LoadRequest) -> np.ndarray:
    """A number for each piece; pieces of about the same size and kind share it."""
    seen: dict[tuple[object, ...], int] = {}
    out = []
    for item in request.items:
        dims = sorted(-(-side // FAMILY_MM) for side in item.size_mm)
        key = (*dims, item.carton, item.fragile, item.level, item.wrap, bool(item.openings))
        out.append(seen.setdefault(key, len(seen)))
    return np.array(out, np.int32)


def _openings(request: LoadRequest, item: Item, turned: bool) -> np.ndarray:
    """The piece's openings as loaded, for one of its two standing turns: (OPENING_COUNT, 6)."""
    out = np.zeros((OPENING_COUNT, 6), np.int32)
    _, width, _ = request.as_loaded_mm(item)
    pad = request.pad_mm if item.wrap else 0
    for k, hole in enumerate(item.openings[:OPENING_COUNT]):
        (x, y, z), (sx, sy, sz) = hole.at_mm, hole.size_mm
        x, y = x + pad, y + pad
        z, sz = (z, sz + pad) if z == 0 else (z + pad, sz)
        if turned:
            x, y, sx, sy = width - y - sy, x, sy, sx
        out[k] = (x, y, z, sx, sy, sz)
    return out


def empty_truck(request: LoadRequest, goods: Goods) -> State:
    """The state before anything is loaded: only what is in the way stands there."""
    blocked = request.truck.blocked
    state = new_state(goods, 2 * len(request.items) + len(blocked) + 64)
    for b, box in enumerate(blocked):
        state.box[b, [X0, Y0, Z0]] = box.at_mm
        state.box[b, [X1, Y1, Z1]] = [a + s for a, s in zip(box.at_mm, box.size_mm, strict=True)]
        state.box[b, [ITEM, HOST, NOSE, BEFORE, HIGH]] = BLOCKED, -1, box.at_mm[0], NEVER, 2
    state.tally[BOXES] = len(blocked)
    return state
