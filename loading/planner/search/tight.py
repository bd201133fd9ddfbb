"""No play: rolled pads beside the pieces that travel too far from side to side."""

from __future__ import annotations

from loading.planner.search.arrays import (
    BEFORE,
    BOXES,
    FIXED,
    HOST,
    ITEM,
    MOST_OPTIONS,
    NOSE,
    PADS,
    ROLLS,
    SLACK,
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
    State,
)
from loading.planner.search.kernel import bare
from loading.planner.search.place import TRAVEL, mark_face
from loading.planner.search.push import side_travel, worst_loose
from loading.planner.search.rolls import (
    PAD_MM3,
    REST,
    ROLL_LEAST,
    ROLL_LONG,
    ROLL_STIFF,
    ROLL_STOP,
    add_roll,
    overlap,
    pads_of,
    slot_for,
)

MARGIN = 2  # mm kept from the limit of travel
# What a tier that holds is brought to (mm) with rolls of so many pads in a row, where they serve.
LITTLE, LITTLE_PADS = 74, 1
GAP_MOST = 900
MOST_PADS = 6  # in one row of rolls, where the search is free
OPTIONS = MOST_OPTIONS
TALL_TRIES = 3  # heights tried for a roll
OPTIONS_TRIED = 5  # rolls tried on each side of a piece
HOLDS = 60  # pieces held in a tier
# An option: x0, x1, z0, z1, y0, y1, rolls, pads, before


@bare
def _wall_or_box(
    goods: Goods, state: State, least: int, leftward: bool, face_y: int,
    x0: int, x1: int, z0: int, z1: int,
) -> int:  # fmt: skip
    """The y of what a roll at this window would lean on."""
    found = 0 if leftward else int(goods.interior[1])
    box = state.box
    for o in range(state.tally[BOXES]):
        if box[o, X1] <= least:
            continue
        if overlap(x0, x1, box[o, X0], box[o, X1]) <= 0:
            continue
        if overlap(z0, z1, box[o, Z0], box[o, Z1]) <= 0:
            continue
        if leftward:
            if box[o, Y1] <= face_y and box[o, Y1] > found:
                found = box[o, Y1]
            elif box[o, Y0] < face_y and box[o, Y1] > face_y:
                return -1
        else:
            if box[o, Y0] >= face_y and box[o, Y0] < found:
                found = box[o, Y0]
            elif box[o, Y1] > face_y and box[o, Y0] < face_y:
                return -1
    return found


@bare
def _stands(state: State, least: int, x0: int, x1: int, y0: int, y1: int, z0: int) -> int:
    """After which box a roll can be put in for it to stand (-1: any), or -2 if half would hang."""
    if z0 <= 0:
        return -1
    area = float(x1 - x0) * (y1 - y0)
    on, newest = 0.0, -1
    box = state.box
    for o in range(state.tally[BOXES]):
        if box[o, X1] <= least or box[o, Z1] > z0 or box[o, Z1] < z0 - REST:
            continue
        ox = overlap(x0, x1, box[o, X0], box[o, X1])
        oy = overlap(y0, y1, box[o, Y0], box[o, Y1])
        if ox > 0 and oy > 0:
            on += float(ox) * oy
            newest = max(newest, box[o, BEFORE] - 1 if box[o, ITEM] == ROLLS else o)
    return newest if on >= 0.52 * area else -2


@bare
def _as_tall(
    goods: Goods, state: State, first: int, least: int, leftward: bool,
    x0: int, x1: int, y0: int, y1: int, z0: int, z1: int, rolls: int, newest: int, before: int,
) -> int:  # fmt: skip
    """How high rolls may reach beyond z1 for the same pads, to hold what stands above as well."""
    wide, thick = x1 - x0, -(-(y1 - y0) // rolls)
    face_y, other = (y1, y0) if leftward else (y0, y1)
    up = z0 + PAD_MM3 * pads_of(wide, thick, z1 - z0) // (wide * thick)
    if min(wide, thick) < ROLL_STIFF:
        up = min(up, z0 + ROLL_LONG)
    up = min(up, int(goods.interior[2]))
    for _ in range(TALL_TRIES):
        if up <= z1:
            break
        if _wall_or_box(goods, state, least, leftward, face_y, x0, x1, z0, up) == other:
            if slot_for(state, first, least, newest, x0, x1, y0, y1, z0, up) == before:
                return up
        up = (z1 + up) // 2
    return z1


@bare
def _option(
    goods: Goods, state: State, first: int, least: int, b: int, leftward: bool,
    z0: int, x0: int, x1: int, share: float, options: Longs, n: int,
) -> int:  # fmt: skip
    """Add the rolls that would hold box b on one side from a top at z0, if they can be placed."""
    box = state.box
    if x1 - x0 < 60 or n >= OPTIONS:
        return n
    face = float(box[b, X1] - box[b, X0]) * (box[b, Z1] - box[b, Z0])
    need = int(share * face / (x1 - x0)) + 2
    base = max(z0, int(box[b, Z0]))
    z1 = base + max(need, 40)
    if z1 > box[b, Z1] or z1 > goods.interior[2]:
        return n
    face_y = int(box[b, Y0] if leftward else box[b, Y1])
    other = _wall_or_box(goods, state, least, leftward, face_y, x0, x1, z0, z1)
    if other < 0:
        return n
    y0, y1 = (other, face_y) if leftward else (face_y, other)
    gap = y1 - y0
    if gap < ROLL_LEAST or gap > GAP_MOST:
        return n
    rolls = -(-gap // ROLL_STOP)
    thick = gap // rolls
    longest = max(x1 - x0, z1 - z0)
    if longest > ROLL_LONG and min(thick, x1 - x0, z1 - z0) < ROLL_STIFF:
        return n
    if min(x1 - x0, z1 - z0) < ROLL_LEAST or thick < ROLL_LEAST:
        return n
    newest = -1
    pads = 0
    for r in range(rolls):
        ya = y0 + gap * r // rolls
        yb = y0 + gap * (r + 1) // rolls
        on = _stands(state, least, x0, x1, ya, yb, z0)
        if on == -2:
            return n
        newest = max(newest, on)
        pads += pads_of(x1 - x0, yb - ya, z1 - z0)
    before = slot_for(state, first, least, newest, x0, x1, y0, y1, z0, z1)
    if before < 0:
        return n
    z1 = _as_tall(
        goods, state, first, least, leftward, x0, x1, y0, y1, z0, z1, rolls, newest, before
    )
    options[n, 0], options[n, 1], options[n, 2], options[n, 3] = x0, x1, z0, z1
    options[n, 4], options[n, 5], options[n, 6], options[n, 7], options[n, 8] = (
        y0,
        y1,
        rolls,
        pads,
        before,
    )
    return n + 1


@bare
def _options(
    goods: Goods, state: State, first: int, least: int, b: int, leftward: bool, options: Longs
) -> int:
    """All rolls worth trying on one side of box b."""
    box = state.box
    n = 0
    bx0, bx1 = int(box[b, X0]), int(box[b, X1])
    for share in (0.112, 0.3):
        n = _option(goods, state, first, least, b, leftward, 0, bx0, bx1, share, options, n)
        if bx1 - bx0 > 500:
            n = _option(
                goods, state, first, least, b, leftward, 0, bx1 - 450, bx1, share, options, n
            )
        for o in range(state.tally[BOXES]):
            if o == b or box[o, X1] <= least or box[o, Z1] >= box[b, Z1]:
                continue
            x0, x1 = max(bx0, int(box[o, X0])), min(bx1, int(box[o, X1]))
            if x1 - x0 < 60:
                continue
            if leftward:
                if box[o, Y0] >= box[b, Y0] or box[o, Y1] < box[b, Y0] - GAP_MOST:
                    continue
            elif box[o, Y1] <= box[b, Y1] or box[o, Y0] > box[b, Y1] + GAP_MOST:
                continue
            z0 = int(box[o, Z1])
            n = _option(goods, state, first, least, b, leftward, z0, x0, x1, share, options, n)
            if x1 - x0 > 400:
                n = _option(
                    goods, state, first, least, b, leftward, z0, x1 - 300, x1, share, options, n
                )
    return n


@bare
def _add_rolls(state: State, options: Longs, pick: int) -> None:
    option = options[pick]
    gap = option[5] - option[4]
    for r in range(option[6]):
        y0, y1 = option[4] + gap * r // option[6], option[4] + gap * (r + 1) // option[6]
        add_roll(state, option[0], option[1], y0, y1, option[2], option[3], option[8])


@bare
def _hold(
    goods: Goods, state: State, desk: Desk, first: int, least: int, b: int, limit: int,
    most_pads: int,
) -> bool:  # fmt: skip
    """Put rolls beside box b until it travels no more than the limit; False when none do.

    From the first side rolls may do half of it, when much is left for the other side.
    """
    left, right, options = desk.left, desk.right, desk.option
    before = right[b] - left[b]
    far = before > 450 or b < state.tally[FIXED]  # how far a given piece travels is not told
    kept, pads = int(state.tally[BOXES]), int(state.tally[PADS])
    for side in range(2):
        go_left = (left[b] < 2 * state.box[b, Y0] - right[b]) == (side == 0)
        n = _options(goods, state, first, least, b, go_left, options)
        for _attempt in range(min(n, OPTIONS_TRIED)):
            pick = -1
            for k in range(n):
                if options[k, 7] > 0 and (pick < 0 or options[k, 7] < options[pick, 7]):
                    pick = k
            if pick < 0 or options[pick, 7] > most_pads:
                break
            if kept + options[pick, 6] >= state.box.shape[0]:
                break
            _add_rolls(state, options, pick)
            side_travel(goods, state, desk, least)
            travel = right[b] - left[b]
            if travel <= limit:
                return True
            if side == 0 and travel < before - 100 and far:
                desk.given_up[b] = 0
                return True
            options[pick, 7] = -1
            state.tally[BOXES], state.tally[PADS] = kept, pads
    side_travel(goods, state, desk, least)
    return False


@bare
def _beyond(state: State, desk: Desk, first: int, end: int, limit: int) -> int:
    """How many pieces travel farther than the limit."""
    count = 0
    for b in range(first, end):
        if state.box[b, ITEM] >= 0 and state.box[b, HOST] < 0:
            count += desk.right[b] - desk.left[b] > limit
    return count


@bare
def _carries_roll(state: State, b: int) -> bool:
    box = state.box
    for o in range(b + 1, state.tally[BOXES]):
        if 0 <= box[o, Z0] - box[b, Z1] <= REST:
            if overlap(box[b, X0], box[b, X1], box[o, X0], box[o, X1]) > 0:
                if overlap(box[b, Y0], box[b, Y1], box[o, Y0], box[o, Y1]) > 0:
                    return True
    return False


@bare
def spare_rolls(
    goods: Goods, state: State, desk: Desk, own: int, begun: int, least: int, limit: int
) -> None:
    """Take out again what the rolls put in after it (from box `begun` on) have made needless.

    How far all travel is on the desk before and after; see `side_travel`.
    """
    box = state.box
    if state.tally[BOXES] - begun < 2:
        return
    far = _beyond(state, desk, own, begun, TRAVEL - MARGIN)
    more = _beyond(state, desk, own, begun, limit)
    for b in range(state.tally[BOXES] - 2, begun - 1, -1):
        if _carries_roll(state, b):
            continue
        top = box[b, Z1]
        box[b, Z1] = box[b, Z0]  # so thin it meets nothing
        side_travel(goods, state, desk, least)
        needed = _beyond(state, desk, own, begun, TRAVEL - MARGIN) > far
        box[b, Z1] = top
        if needed or _beyond(state, desk, own, begun, limit) > more:
            continue
        state.tally[PADS] -= pads_of(
            box[b, X1] - box[b, X0], box[b, Y1] - box[b, Y0], box[b, Z1] - box[b, Z0]
        )
        state.tally[BOXES] -= 1
        for o in range(b, state.tally[BOXES]):
            for column in range(box.shape[1]):
                box[o, column] = box[o + 1, column]
    side_travel(goods, state, desk, least)


@bare
def hold_tier(
    goods: Goods, state: State, desk: Desk, first: int, least: int, limit: int, most_pads: int,
    loose: Ints,
) -> int:  # fmt: skip
    """Put rolls where pieces from box `first` on travel beyond `limit`; how many stay loose.

    `loose` (boxes,): 1 for the pieces that nothing holds. A row of rolls may take `most_pads`.
    Pieces that stood in the tier before the search are held too; how many are not is kept.
    """
    begun, own = int(state.tally[BOXES]), first
    while own > 0 and state.box[own - 1, TIER] == state.tally[TIERS]:
        own -= 1  # what stood in the tier before the search
    desk.given_up[:] = 0
    side_travel(goods, state, desk, least)
    for _ in range(HOLDS):
        b = worst_loose(state, desk, own, limit)
        if b < 0:
            break
        desk.given_up[b] = 1
        _hold(goods, state, desk, first, least, b, limit, most_pads)
    spare_rolls(goods, state, desk, own, begun, least, limit)
    for b in range(begun, state.tally[BOXES]):
        if state.box[b, ITEM] == ROLLS:
            state.box[b, NOSE] = state.box[b, X0]
            mark_face(state, b)
    if own < first:
        state.tally[SLACK] = 0
    for b in range(own, first):
        if state.box[b, ITEM] >= 0 and state.box[b, HOST] < 0:
            if desk.right[b] - desk.left[b] > TRAVEL - MARGIN:
                state.tally[SLACK] += 1
    count = 0
    for b in range(first, begun):
        loose[b] = 0
        if state.box[b, ITEM] >= 0 and state.box[b, HOST] < 0:
            if desk.right[b] - desk.left[b] > TRAVEL - MARGIN:
                loose[b] = 1
                count += 1
    return count


@bare
def lay_rolls(state: State, first: int, least: int, rolls: Longs) -> None:
    """Put in rolls (n, 6: at, size) of a former plan where they still stand; see `hold_tier`."""
    for k in range(len(rolls)):
        x0, y0, z0 = rolls[k, 0], rolls[k, 1], rolls[k, 2]
        x1, y1, z1 = x0 + rolls[k, 3], y0 + rolls[k, 4], z0 + rolls[k, 5]
        newest = _stands(state, least, x0, x1, y0, y1, z0)
        if newest == -2 or state.tally[BOXES] >= len(state.box):
            continue
        before = slot_for(state, first, least, newest, x0, x1, y0, y1, z0, z1)
        if before >= 0:
            add_roll(state, x0, x1, y0, y1, z0, z1, before)
