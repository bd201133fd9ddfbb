"""The fixed arrays that the compiled search works on: what is asked (Goods), what stands (State).

Lengths in mm, weights in g, floor areas in mm2. Axes as in the load request: x from the nose to the
doors, y from the left wall, z from the deck.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[np.int32]
Longs = npt.NDArray[np.int64]
Reals = npt.NDArray[np.float64]
Bytes = npt.NDArray[np.uint8]

# Columns of State.box
X0, Y0, Z0, X1, Y1, Z1 = 0, 1, 2, 3, 4, 5
ITEM = 6  # index of the item, or one of the two below
TURN = 7  # which of the item's turns
HOST = 8  # box in whose opening it rides, or -1
NOSE = 9  # where its nose side comes to stand when all is pushed toward the nose
ROW = 10  # mm of rolls one behind the other toward the nose, up to and with this one
TIER = 11
RANK = 12  # lowest level it may be called: base 0, middle 1, top 2
CONTACTS = 13  # how many entries of State.under are used
BEFORE = 14  # rolls: the box before which they are put in (or NEVER)
HIGH = 15  # highest level it may be called
COLUMNS = 16

BLOCKED, ROLLS = -1, -2
NEVER = 1 << 30
UNDER = 14  # most pieces that one piece may rest on

# Entries of State.tally
(
    BOXES, FLOOR, NEXT_VAULT, OPEN, TIERS, LENGTH, PADS, PLACED, VOLUME, KILOS, MOMENT, FIXED, GONE,
    OUT, SLACK,
) = range(15)  # fmt: skip
COUNTS = 16

# Where a piece is: State.where
STORED, ON_FLOOR, IN_TRUCK = 0, 1, 2

LEFT = 2  # State.opened from here on: the vault has left the dock

CELL = 50  # mm: side of a cell of the coarse map of the face


class Goods(NamedTuple):
    """A load request in arrays; n items, v vaults, at most 6 turns and 3 openings a piece."""

    interior: Ints  # (3,)
    size: Ints  # (n, 6, 3): dx, dy, dz of each turn
    turns: Ints  # (n,): how many turns are allowed
    weight: Ints  # (n,) g
    bears: Ints  # (n,) g, 0 for fragile pieces
    level: Ints  # (n,): -1 when the planner decides
    carton: Ints  # (n,) 0 or 1
    stop: Ints  # (n,)
    last_on: Ints  # (n,) 0 or 1
    area: Longs  # (n,) mm2 on the dock floor
    vault: Ints  # (n,): -1 stands loose
    stays: Ints  # (n,) 1: does not leave
    opening: (
        Ints  # (n, 6, 3, 6): at and size of each opening for each turn; size 0 where there is none
    )
    volume: Longs  # (n,) mm3 as loaded
    inside: Ints  # (v + 1,) where each vault's items begin in `order`
    order: Ints  # items in vaults, door side first
    family: Ints  # (n,): pieces about alike have the same number
    dock: Longs  # (2,): vault spots, floor mm2
    out: Longs  # pieces in the order in which they are to come out; empty: as the search likes


class State(NamedTuple):
    """What stands in the truck and on the dock."""

    box: Ints  # (m, COLUMNS)
    under: Ints  # (m, UNDER): boxes it rests on
    share: Reals  # (m, UNDER): share of its load that goes to each
    carried: Reals  # (m,) g
    where: Ints  # (n,)
    taken: Ints  # (v,): how many pieces have left each vault
    opened: Ints  # (v,): 0 in its lane, 1 on the dock, LEFT + k when it was the k-th to leave
    face: Ints  # (cells y, cells z): how far the load reaches
    tally: Longs  # (COUNTS,)


# Entries of Desk.used
NEAR, HIGH_UP, TOPS, PLACES, CANDIDATES, FRESH = range(6)

# Entries of Desk.lim: least x of any piece, the tier's start, the depth aimed at, the end of the
# truck, how deep a tier may get, how far this one reaches toward the nose and the doors so far, and
# its first box.
LEAST, START, AIM, END, DEEP, REAR, FRONT, FIRST = range(8)

# Entries of Desk.spot.
S_X, S_NOSE, S_RANK, S_HIGH, S_LEFT, S_RIGHT, S_CONTACTS, S_BEDS = range(8)

MOST_PLACES = 640
MOST_BEDS = 8  # rolls under one piece
MOST_OPTIONS = 48  # rolls that are weighed against each other


class Desk(NamedTuple):
    """What the building of a tier works with; made once for each worker."""

    used: Longs  # (6,): how many entries of the lists below are in use
    lim: Longs  # (8,)
    near: Longs  # (m,): boxes that a new piece may touch
    high: Longs  # (m,): those of them that rise above the floor of the place that is judged
    top: Longs  # (m,): those of them that end at its floor
    spot: Longs  # (8,): what `try_place` found
    under: Longs  # (UNDER,): boxes the piece tried rests on
    share: Reals  # (UNDER,)
    bed: Longs  # (MOST_BEDS + 1, 7): rolls under it, x0 to z1 and the box that each goes in before
    low: Longs  # (UNDER,): tops that are a little too low
    wide: Reals  # (UNDER,): how much of the piece (mm2) is above each
    pos: Reals  # (64,)
    rect: Longs  # (64, 4)
    flow: Reals  # (m,): all zero between calls
    hole: Ints  # (6,): at and size of the opening that is judged
    place: Longs  # (MOST_PLACES, 5)
    best: Reals  # (MOST_PLACES,): the best score at each place
    best_item: Longs  # (MOST_PLACES,): -1 when no piece fits
    best_turn: Longs  # (MOST_PLACES,)
    known: Bytes  # (MOST_PLACES,): 0 to be judged, 1 judged, 2 closed, 3 scores no more
    candidate: Longs  # (n,): pieces within reach, the most hopeful first
    fresh: Longs  # (n,): those of them that were not yet tried at the places judged before
    tried: Bytes  # (n,): 1 once a piece was tried at every place
    factor: Reals  # (n,): wish and noise of this tier
    power: Reals  # (n,): what the piece's size makes of a score
    hope: Reals  # (n,): no place scores the piece higher
    raised: Bytes  # (n,): 1 for pieces that are not to stand on the deck
    early: Reals  # (n,): less than 1 for pieces whose turn has not come
    by_hope: Longs  # (n,)
    seen: Longs  # (n,): how many of each family were tried at a place
    most: Longs  # (cells y + 1, cells z + 1): how far the face reaches within so many cells
    total: Longs  # the same, summed
    rear: Longs  # (cells y + 1,): from where in each column tops reach at the floor of the place
    reach: Longs  # (cells y + 1,): and to where
    mover: Longs  # (m,): boxes in the order in which they are pushed to a side
    key: Longs  # (m,)
    fast: Longs  # (m,): boxes that stand fast or were pushed already
    where: Reals  # (m,): where each contact of a pushed box is met
    edge: Longs  # (m, 4): its rectangle
    thick: Longs  # (m,): rolls behind it, mm
    row: Longs  # (m,): mm of rolls one behind the other, up to and with this one
    left: Longs  # (m,): each box's y when all is pushed to the left
    right: Longs  # (m,)
    given_up: Ints  # (m,): 1 once rolls were tried beside a box
    option: Longs  # (MOST_OPTIONS, 9): see `tight`


def new_desk(goods: Goods, room: int) -> Desk:
    """A desk for states with space for so many boxes."""
    n = len(goods.weight)
    cells = [-(-int(goods.interior[axis]) // CELL) + 1 for axis in (1, 2)]
    longs: Any = np.int64
    return Desk(
        used=np.zeros(6, longs),
        lim=np.zeros(8, longs),
        near=np.zeros(room, longs),
        high=np.zeros(room, longs),
        top=np.zeros(room, longs),
        spot=np.zeros(8, longs),
        under=np.zeros(UNDER, longs),
        share=np.zeros(UNDER),
        bed=np.zeros((MOST_BEDS + 1, 7), longs),
        low=np.zeros(UNDER, longs),
        wide=np.zeros(UNDER),
        pos=np.zeros(64),
        rect=np.zeros((64, 4), longs),
        flow=np.zeros(room),
        hole=np.zeros(6, np.int32),
        place=np.zeros((MOST_PLACES, 5), longs),
        best=np.zeros(MOST_PLACES),
        best_item=np.zeros(MOST_PLACES, longs),
        best_turn=np.zeros(MOST_PLACES, longs),
        known=np.zeros(MOST_PLACES, np.uint8),
        candidate=np.zeros(n, longs),
        fresh=np.zeros(n, longs),
        tried=np.zeros(n, np.uint8),
        factor=np.zeros(n),
        power=np.zeros(n),
        hope=np.zeros(n),
        raised=np.zeros(n, np.uint8),
        early=np.zeros(n),
        by_hope=np.zeros(n, longs),
        seen=np.zeros(n, longs),
        most=np.zeros((cells[0], cells[1]), longs),
        total=np.zeros((cells[0], cells[1]), longs),
        rear=np.zeros(cells[0], longs),
        reach=np.zeros(cells[0], longs),
        mover=np.zeros(room, longs),
        key=np.zeros(room, longs),
        fast=np.zeros(room, longs),
        where=np.zeros(room),
        edge=np.zeros((room, 4), longs),
        thick=np.zeros(room, longs),
        row=np.zeros(room, longs),
        left=np.zeros(room, longs),
        right=np.zeros(room, longs),
        given_up=np.zeros(room, np.int32),
        option=np.zeros((MOST_OPTIONS, 9), longs),
    )


def copy_state(source: State, target: State) -> None:
    """Write source over target; only the boxes in use are copied."""
    used = int(source.tally[BOXES])
    for name in ("box", "under", "share", "carried"):
        getattr(target, name)[:used] = getattr(source, name)[:used]
    for name in ("where", "taken", "opened", "face", "tally"):
        getattr(target, name)[...] = getattr(source, name)


def new_state(goods: Goods, room: int) -> State:
    """An empty truck with space for so many boxes (pieces, rolls and what is in the way)."""
    n, v = len(goods.weight), len(goods.inside) - 1
    cells = [-(-int(goods.interior[axis]) // CELL) for axis in (1, 2)]
    i32: Any = np.int32
    return State(
        box=np.zeros((room, COLUMNS), i32),
        under=np.zeros((room, UNDER), i32),
        share=np.zeros((room, UNDER)),
        carried=np.zeros(room),
        where=np.zeros(n, i32),
        taken=np.zeros(v, i32),
        opened=np.zeros(v, i32),
        face=np.zeros((cells[0], cells[1]), i32),
        tally=np.zeros(COUNTS, np.int64),
    )
