"""Blocks: dense cuboids of boxes, the pieces the search moves around.

A *grid* is nx * ny * nz boxes of one type in one orientation. A *join* sets two blocks side by
side or one on the other when nearly no air is enclosed. (Block building after Eley 2002 and, for
joins, Zhu, Oon, Lim and Weng 2012, "The six elements to block-building approaches for the single
container loading problem", Applied Intelligence 37.)

Where every box must stand on solid ground a block also has a *top*: the flat rectangle from its
own corner on which something may stand. It has to cover nearly the whole footprint.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loading.planner.packing.kernel import kernel
from loading.planner.packing.problem import Instance

GRID = 3  # in Blocks.build: 0, 1, 2 are joins along x, y, z
TOP_SHARE_PERCENT = 95
HASH_SLOTS = 1 << 17
MOST_LOOKED_AT = 100  # pairs looked at for each block asked for: a tenth of a second for 10,000


class Blocks(NamedTuple):
    """Blocks in order of making; rows beyond `made` are unused.

    edge: (n, 3) bounding edges. top: (n, 2) flat top from the corner. volume, boxes: (n,).
    build: (n, 6) kind, then (type, orientation, nx, ny, nz) of a grid or (first, second) of a
    join. need: (n, types) boxes used.
    """

    edge: NDArray[np.int32]
    top: NDArray[np.int32]
    volume: NDArray[np.int64]
    boxes: NDArray[np.int32]
    build: NDArray[np.int32]
    need: NDArray[np.int16]
    mark: NDArray[np.int64]


class Goods(NamedTuple):
    """An instance as arrays. lying: (m, 5) type, orientation, dx, dy, dz. counts: (types,)."""

    container: NDArray[np.int32]
    lying: NDArray[np.int32]
    counts: NDArray[np.int32]
    volumes: NDArray[np.int64]
    words: NDArray[np.int64]


def goods_of(instance: Instance) -> Goods:
    """The instance in its largest common unit, so that a change of unit changes nothing."""
    unit = instance.unit()
    lying = [
        (index, turn, *(edge // unit for edge in size))
        for index, box in enumerate(instance.boxes)
        for turn, size in enumerate(box.orientations())
    ]
    words = np.random.default_rng(20_011).integers(1, 1 << 62, len(instance.boxes), np.int64)
    return Goods(
        np.array([edge // unit for edge in instance.container], np.int32),
        np.array(lying, np.int32).reshape(-1, 5),
        np.array([box.count for box in instance.boxes], np.int32),
        np.array([box.volume // unit**3 for box in instance.boxes], np.int64),
        words,
    )


def build_blocks(goods: Goods, *, limit: int, fill_percent: float, supported: bool) -> Blocks:
    """At most `limit` blocks: first the grids, then joins breadth first."""
    types = len(goods.counts)
    blocks = Blocks(
        np.zeros((limit, 3), np.int32),
        np.zeros((limit, 2), np.int32),
        np.zeros(limit, np.int64),
        np.zeros(limit, np.int32),
        np.zeros((limit, 6), np.int32),
        np.zeros((limit, types), np.int16),
        np.zeros(limit, np.int64),
    )
    slots = np.full(HASH_SLOTS, -1, np.int32)
    made = _make_grids(goods, blocks, slots)
    made = _make_joins(goods, blocks, slots, made, fill_percent / 100.0, supported)
    return Blocks(
        blocks.edge[:made],
        blocks.top[:made],
        blocks.volume[:made],
        blocks.boxes[:made],
        blocks.build[:made],
        blocks.need[:made],
        blocks.mark[:made],
    )


@kernel
def _is_new(blocks, slots, row):  # type: ignore[no-untyped-def]
    """Whether no earlier block has the edges and boxes of `row`; enters it if so."""
    edge = blocks.edge
    mixed = (
        blocks.mark[row]
        + edge[row, 0] * 1_000_003
        + edge[row, 1] * 7_368_787
        + edge[row, 2] * 49_979_687
    )
    mixed = (mixed ^ (mixed >> 29)) * 0x1B873593
    slot = (mixed ^ (mixed >> 32)) & (HASH_SLOTS - 1)
    while slots[slot] >= 0:
        other = slots[slot]
        if (
            blocks.mark[other] == blocks.mark[row]
            and edge[other, 0] == edge[row, 0]
            and edge[other, 1] == edge[row, 1]
            and edge[other, 2] == edge[row, 2]
        ):
            return False
        slot = (slot + 1) & (HASH_SLOTS - 1)
    slots[slot] = row
    return True


@kernel
def _make_grids(goods, blocks, slots):  # type: ignore[no-untyped-def]
    """All grids that fit, small ones first so that a tight limit keeps some of every type."""
    made = 0
    limit = blocks.volume.shape[0]
    most = 0
    for count in goods.counts:
        most = max(most, count)
    for total in range(1, most + 1):
        for row in range(goods.lying.shape[0]):
            kind = goods.lying[row, 0]
            if total > goods.counts[kind]:
                continue
            for nx in range(1, total + 1):
                if total % nx or nx * goods.lying[row, 2] > goods.container[0]:
                    continue
                for ny in range(1, total // nx + 1):
                    if (total // nx) % ny or ny * goods.lying[row, 3] > goods.container[1]:
                        continue
                    nz = total // nx // ny
                    if nz * goods.lying[row, 4] > goods.container[2] or made >= limit:
                        continue
                    _enter_grid(goods, blocks, made, row, nx, ny, nz)
                    if _is_new(blocks, slots, made):
                        made += 1
                    else:
                        blocks.need[made, :] = 0
    return made


@kernel
def _enter_grid(goods, blocks, made, row, nx, ny, nz):  # type: ignore[no-untyped-def]
    kind = goods.lying[row, 0]
    total = nx * ny * nz
    blocks.edge[made, 0] = nx * goods.lying[row, 2]
    blocks.edge[made, 1] = ny * goods.lying[row, 3]
    blocks.edge[made, 2] = nz * goods.lying[row, 4]
    blocks.top[made, 0] = blocks.edge[made, 0]
    blocks.top[made, 1] = blocks.edge[made, 1]
    blocks.volume[made] = total * goods.volumes[kind]
    blocks.boxes[made] = total
    blocks.build[made, 0] = GRID
    blocks.build[made, 1] = kind
    blocks.build[made, 2] = goods.lying[row, 1]
    blocks.build[made, 3] = nx
    blocks.build[made, 4] = ny
    blocks.build[made, 5] = nz
    blocks.need[made, kind] = total
    blocks.mark[made] = total * goods.words[kind]


@kernel
def _make_joins(goods, blocks, slots, made, least_fill, supported):  # type: ignore[no-untyped-def]
    """Join every block with all before it, in order of making, until the limit.

    Blocks set side by side along x must nearly agree in y, and so on; `newest` and `older` chain
    the blocks of each edge length, so that only such pairs are looked at.
    """
    limit = blocks.volume.shape[0]
    longest = max(goods.container[0], goods.container[1], goods.container[2])
    newest = np.full((3, longest + 1), -1, np.int32)
    older = np.full((3, limit), -1, np.int32)
    second = 0
    looked_at = 0
    while second < made and made < limit and looked_at < MOST_LOOKED_AT * limit:
        for axis in range(3):
            edge = blocks.edge[second, axis]
            older[axis, second] = newest[axis, edge]
            newest[axis, edge] = second
        for axis in range(3):
            across = 1 if axis == 0 else 0
            edge = blocks.edge[second, across]
            last = min(longest, int(edge / least_fill))
            for other in range(max(1, int(edge * least_fill)), last + 1):
                first = newest[across, other]
                while first >= 0 and made < limit:
                    made += _try_join(
                        goods, blocks, slots, made, first, second, axis, least_fill, supported
                    )
                    if first != second and supported and made < limit:
                        made += _try_join(
                            goods, blocks, slots, made, second, first, axis, least_fill, supported
                        )
                    first = older[across, first]
                    looked_at += 1
        second += 1
    return made


@kernel
def _try_join(  # type: ignore[no-untyped-def]
    goods, blocks, slots, made, first, second, axis, least_fill, supported
):
    """Enter the join of two blocks as row `made`; returns how many blocks were added, 0 or 1.

    One function although long: it is called some ten million times and mostly leaves early.
    """
    edge, top = blocks.edge, blocks.top
    dx, dy, dz = edge[first, 0], edge[first, 1], edge[first, 2]
    if axis == 0:
        dx += edge[second, 0]
        dy = max(dy, edge[second, 1])
        dz = max(dz, edge[second, 2])
    elif axis == 1:
        dx = max(dx, edge[second, 0])
        dy += edge[second, 1]
        dz = max(dz, edge[second, 2])
    else:
        dx = max(dx, edge[second, 0])
        dy = max(dy, edge[second, 1])
        dz += edge[second, 2]
    if dx > goods.container[0] or dy > goods.container[1] or dz > goods.container[2]:
        return 0
    volume = blocks.volume[first] + blocks.volume[second]
    if volume < least_fill * (np.int64(dx) * dy * dz):
        return 0
    tx, ty = dx, dy
    if supported:
        tx, ty = top[first, 0], top[first, 1]
        if axis == 2:
            if edge[second, 0] > tx or edge[second, 1] > ty:
                return 0
            tx, ty = top[second, 0], top[second, 1]
        elif edge[first, 2] == edge[second, 2]:
            if axis == 0 and tx == edge[first, 0]:
                tx, ty = tx + top[second, 0], min(ty, top[second, 1])
            elif axis == 1 and ty == edge[first, 1]:
                tx, ty = min(tx, top[second, 0]), ty + top[second, 1]
        elif edge[first, 2] < edge[second, 2]:
            return 0
        if np.int64(tx) * ty * 100 < np.int64(dx) * dy * TOP_SHARE_PERCENT:
            return 0
    for kind in range(goods.counts.shape[0]):
        if blocks.need[first, kind] + blocks.need[second, kind] > goods.counts[kind]:
            return 0
    edge[made, 0] = dx
    edge[made, 1] = dy
    edge[made, 2] = dz
    blocks.mark[made] = blocks.mark[first] + blocks.mark[second]
    if not _is_new(blocks, slots, made):
        return 0
    top[made, 0] = tx
    top[made, 1] = ty
    blocks.volume[made] = volume
    blocks.boxes[made] = blocks.boxes[first] + blocks.boxes[second]
    blocks.build[made, 0] = axis
    blocks.build[made, 1] = first
    blocks.build[made, 2] = second
    for kind in range(goods.counts.shape[0]):
        blocks.need[made, kind] = blocks.need[first, kind] + blocks.need[second, kind]
    return 1
