"""Blocks as the search reads them: sorted by worth, fit tests in one subtraction.

Three edges are packed into a 64-bit word, 20 bits each with a guard bit above. With `room` packed
the same way and its guard bits set, `(room - edges) & GUARDS == GUARDS` says that every edge fits.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loading.planner.packing.blocks import Blocks, Goods
from loading.planner.packing.kernel import kernel

GUARDS = (1 << 20) | (1 << 41) | (1 << 62)
EDGE = (1 << 20) - 1  # one packed edge
NEVER_FITS = (1 << 62) - 1 - (1 << 20) - (1 << 41)
STEPS = 1024  # resolution of the contact and use tables


class Catalogue(NamedTuple):
    """Arrays over n blocks, worth descending.

    packed: (n,) edges in one word. edge: (n, 3). top: (n, 2). volume: (n,). face: (n, 4) share of
    the surface of a face across x, y, z, and one over the surface. worth: (n,) volume times
    boxes ** -gamma, an upper bound of any score. need_from: (n + 1,) into need_type and
    need_count. row: (n,) the row in Blocks. contact, use: (STEPS + 2,) factor for a share of
    surface touched, and of room used. container: (3,). slack: (3,) gap that still counts as
    contact. lying: (m, 5) and counts: (types,) as in Goods.
    """

    packed: NDArray[np.int64]
    edge: NDArray[np.int32]
    top: NDArray[np.int32]
    volume: NDArray[np.int64]
    face: NDArray[np.float64]
    worth: NDArray[np.float64]
    need_from: NDArray[np.int32]
    need_type: NDArray[np.int32]
    need_count: NDArray[np.int32]
    row: NDArray[np.int32]
    contact: NDArray[np.float64]
    use: NDArray[np.float64]
    container: NDArray[np.int32]
    slack: NDArray[np.int32]
    lying: NDArray[np.int32]
    counts: NDArray[np.int32]


class Taste(NamedTuple):
    """Exponents of the score (see score.py) and the weight of height when choosing a space."""

    contact: float = 4.0
    use: float = 1.0
    boxes: float = 0.2
    height: int = 1
    slack_percent: int = 1


def catalogue_of(goods: Goods, blocks: Blocks, taste: Taste) -> Catalogue:
    worth = blocks.volume * blocks.boxes.astype(np.float64) ** -taste.boxes
    order = np.lexsort((np.arange(len(worth)), -worth))
    need = blocks.need[order]
    rows, types = np.nonzero(need)
    edge = blocks.edge[order]
    share = np.arange(STEPS + 2) / STEPS
    return Catalogue(
        pack_edges(edge),
        edge,
        blocks.top[order],
        blocks.volume[order],
        _faces(edge),
        worth[order],
        np.searchsorted(rows, np.arange(len(order) + 1)).astype(np.int32),
        types.astype(np.int32),
        need[rows, types].astype(np.int32),
        order.astype(np.int32),
        share**taste.contact,
        share**taste.use,
        goods.container,
        goods.container * taste.slack_percent // 100,
        goods.lying,
        goods.counts,
    )


def _faces(edge: NDArray[np.int32]) -> NDArray[np.float64]:
    x, y, z = edge.astype(np.float64).T
    surface = 2 * (x * y + y * z + x * z)
    return np.stack((y * z / surface, x * z / surface, x * y / surface, 1 / surface), axis=1)


def pack_edges(edge: NDArray[np.int32]) -> NDArray[np.int64]:
    wide = edge.astype(np.int64)
    packed: NDArray[np.int64] = wide[:, 0] | wide[:, 1] << 21 | wide[:, 2] << 42
    return packed


@kernel
def pack_room(dx, dy, dz):  # type: ignore[no-untyped-def]
    return np.int64(dx) | np.int64(dy) << 21 | np.int64(dz) << 42 | np.int64(GUARDS)


@kernel
def in_stock(catalogue, block, left):  # type: ignore[no-untyped-def]
    """Whether the boxes of a block are still there."""
    for k in range(catalogue.need_from[block], catalogue.need_from[block + 1]):
        if left[catalogue.need_type[k]] < catalogue.need_count[k]:
            return False
    return True
