"""Rolled pads: where they can be put in, and putting them there."""

from __future__ import annotations

from loading.planner.search.arrays import (
    BEFORE,
    BLOCKED,
    BOXES,
    CONTACTS,
    HOST,
    ITEM,
    NEVER,
    NOSE,
    PADS,
    ROLLS,
    ROW,
    TIER,
    TIERS,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    State,
)
from loading.planner.search.kernel import bare, inlined

PAD_MM3 = 30_000_000  # one pad rolled
ROLL_LEAST, ROLL_LONG, ROLL_STIFF = 20, 1000, 100  # mm: thinnest; one longer is at least so thick
REST = 10  # mm: a top this far below still carries
ROLL_STOP, ROLL_ROW = 300, 900  # mm: thickest roll that holds, and thickest row of them


@inlined
def overlap(a0: int, a1: int, b0: int, b1: int) -> int:
    """How far two stretches go together (mm); below 0 how far they are apart."""
    return min(a1, b1) - max(a0, b0)


@bare
def pads_of(x: int, y: int, z: int) -> int:
    """How many pads make a roll of so many mm."""
    return max(1, -(-(x * y * z) // PAD_MM3))


@bare
def slot_for(
    state: State, first: int, least: int, newest: int,
    x0: int, x1: int, y0: int, y1: int, z0: int, z1: int,
) -> int:  # fmt: skip
    """The box before which a roll must go in (NEVER: at the tier's end), or -1 if it cannot.

    `first`: the tier's first box; `least`: boxes nearer to the nose do not matter; `newest`: the
    box after which it can stand.
    """
    before = NEVER
    box = state.box
    for o in range(state.tally[BOXES]):
        if box[o, X1] <= least:
            continue
        if overlap(y0, y1, box[o, Y0], box[o, Y1]) <= 0:
            continue
        above = box[o, ITEM] >= 0 and 0 <= box[o, Z0] - z1 <= REST  # it would rest on the roll
        if not above and overlap(z0, z1, box[o, Z0], box[o, Z1]) <= 0:
            continue
        if overlap(x0, x1, box[o, X0], box[o, X1]) > 0:
            return -1
        if above:
            continue
        if box[o, ITEM] == ROLLS:
            if o >= first:
                return -1
            if box[o, X0] >= x1:
                return -1
            continue
        if box[o, ITEM] == BLOCKED:
            continue
        if box[o, X0] >= x1:
            if o < first:
                return -1
            before = min(before, o)
    for o in range(state.tally[BOXES]):
        if box[o, X1] <= least or box[o, ITEM] < 0:
            continue
        if overlap(y0, y1, box[o, Y0], box[o, Y1]) <= 0:
            continue
        if overlap(z0, z1, box[o, Z0], box[o, Z1]) <= 0:
            continue
        if box[o, X1] <= x0 and o >= before:
            return -1
    if newest >= before:
        return -1
    return before


@bare
def add_roll(
    state: State, x0: int, x1: int, y0: int, y1: int, z0: int, z1: int, before: int
) -> None:
    """Put one roll in, ahead of box `before` (NEVER: at the tier's end)."""
    b = int(state.tally[BOXES])
    box = state.box
    box[b, X0], box[b, X1], box[b, Y0], box[b, Y1] = x0, x1, y0, y1
    box[b, Z0], box[b, Z1] = z0, z1
    box[b, ITEM], box[b, HOST], box[b, CONTACTS] = ROLLS, -1, 0
    box[b, TIER], box[b, BEFORE] = state.tally[TIERS], before
    box[b, NOSE], box[b, ROW] = x0, x1 - x0
    state.tally[BOXES] += 1
    state.tally[PADS] += pads_of(x1 - x0, y1 - y0, z1 - z0)
