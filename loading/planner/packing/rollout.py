"""Placing one block, and the greedy packing that completes a state."""

from __future__ import annotations

from loading.planner.packing.corner import gather_touches, mirror_of, next_space
from loading.planner.packing.kernel import kernel
from loading.planner.packing.levels import add_top, cut_level
from loading.planner.packing.score import best_blocks
from loading.planner.packing.spaces import cut_spaces
from loading.planner.packing.state import (
    BLOCK,
    DEAD,
    MIRROR,
    MOST_PLACED,
    PLACED,
    VOLUME,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    drop_space,
)
from loading.planner.packing.stock import drop_out_of_stock, takes_a_box

SHORTEN_EVERY = 4  # placements after which the list of candidates is shortened


@kernel
def retire_space(state, row, supported):  # type: ignore[no-untyped-def]
    """Nothing fits a space: under the support rule it may still be joined later."""
    if supported:
        state.spaces[row, DEAD] = 1
    else:
        drop_space(state, row)


@kernel
def place_block(catalogue, state, row, block, supported, least):  # type: ignore[no-untyped-def]
    """Put a block into the corner of a space, take its boxes from the stock, renew the spaces."""
    space = state.spaces[row]
    mirror = mirror_of(catalogue, space, supported)
    dx, dy, dz = catalogue.edge[block, 0], catalogue.edge[block, 1], catalogue.edge[block, 2]
    x0 = space[X1] - dx if mirror & 1 else space[X0]
    y0 = space[Y1] - dy if mirror & 2 else space[Y0]
    z0 = space[Z1] - dz if mirror & 4 else space[Z0]
    placed = state.placed[state.head[PLACED]]
    placed[X0] = x0
    placed[Y0] = y0
    placed[Z0] = z0
    placed[X1] = x0 + dx
    placed[Y1] = y0 + dy
    placed[Z1] = z0 + dz
    placed[BLOCK] = block
    placed[MIRROR] = mirror
    state.head[PLACED] += 1
    take_stock(catalogue, state, block)
    claim_room(catalogue, state, placed, supported, least)


@kernel
def take_stock(catalogue, state, block):  # type: ignore[no-untyped-def]
    """Count the boxes of a block as used."""
    state.head[VOLUME] += catalogue.volume[block]
    for k in range(catalogue.need_from[block], catalogue.need_from[block + 1]):
        state.left[catalogue.need_type[k]] -= catalogue.need_count[k]


@kernel
def claim_room(catalogue, state, placed, supported, least):  # type: ignore[no-untyped-def]
    """Take a placed block out of the free room and, under the support rule, add its top."""
    x0, y0, z0 = placed[X0], placed[Y0], placed[Z0]
    x1, y1, z1 = placed[X1], placed[Y1], placed[Z1]
    if not supported:
        cut_spaces(state, x0, y0, z0, x1, y1, z1, least)
        return
    ceiling = catalogue.container[2]
    cut_level(state, x0, y0, x1, y1, z0, ceiling)
    if ceiling - z1 >= least:
        top_x, top_y = catalogue.top[placed[BLOCK], 0], catalogue.top[placed[BLOCK], 1]
        a = x1 - top_x if placed[MIRROR] & 1 else x0
        b = y1 - top_y if placed[MIRROR] & 2 else y0
        add_top(state, a, b, a + top_x, b + top_y, z1, ceiling)


@kernel
def open_space(catalogue, state, scratch, chosen, scores, wanted, weight, supported):  # type: ignore[no-untyped-def]
    """The next space that takes a block, and its best blocks: (row, found), or (-1, 0)."""
    while True:
        row = next_space(catalogue, state, weight, supported)
        if row < 0 or state.head[PLACED] >= MOST_PLACED:
            return -1, 0
        space = state.spaces[row]
        if not takes_a_box(scratch, space, state.left):
            retire_space(state, row, supported)
            continue
        mirror = mirror_of(catalogue, space, supported)
        gather_touches(catalogue, state, space, mirror, supported, scratch)
        found = best_blocks(catalogue, state, scratch, chosen, scores, wanted)
        if found:
            return row, found
        retire_space(state, row, supported)


@kernel
def complete(catalogue, state, scratch, chosen, scores, weight, supported, least):  # type: ignore[no-untyped-def]
    """Place the best block into the next space until nothing fits."""
    placed = 0
    while True:
        row, found = open_space(catalogue, state, scratch, chosen, scores, 1, weight, supported)
        if not found:
            return
        place_block(catalogue, state, row, chosen[0], supported, least)
        placed += 1
        if placed % SHORTEN_EVERY == 0:
            drop_out_of_stock(catalogue, state, scratch)
