"""What the boxes still in stock allow: candidate blocks, spaces worth a look, sums of edges."""

from __future__ import annotations

import numpy as np

from loading.planner.packing.catalogue import GUARDS, NEVER_FITS, in_stock, pack_room
from loading.planner.packing.kernel import kernel
from loading.planner.packing.scratch import MOST_SMALL
from loading.planner.packing.state import X0, X1, Y0, Y1, Z0, Z1


@kernel
def drop_out_of_stock(catalogue, state, scratch):  # type: ignore[no-untyped-def]
    """Shorten the list of candidates to those still in stock."""
    size = 0
    for k in range(scratch.size[0]):
        if scratch.packed[k] != NEVER_FITS and in_stock(catalogue, scratch.block[k], state.left):
            scratch.packed[size] = scratch.packed[k]
            scratch.block[size] = scratch.block[k]
            size += 1
    scratch.size[0] = size


@kernel
def refresh_candidates(catalogue, state, scratch):  # type: ignore[no-untyped-def]
    """All blocks still in stock, worth descending, into the scratch list."""
    size = 0
    for block in range(catalogue.volume.shape[0]):
        if in_stock(catalogue, block, state.left):
            scratch.packed[size] = catalogue.packed[block]
            scratch.block[size] = block
            size += 1
    scratch.size[0] = size
    _refresh_small(catalogue, state, scratch)


@kernel
def _refresh_small(catalogue, state, scratch):  # type: ignore[no-untyped-def]
    """The boxes in stock than which none is smaller in all three edges."""
    small = scratch.small
    size = 0
    singles = 0
    for row in range(catalogue.lying.shape[0]):
        lying = catalogue.lying[row]
        if state.left[lying[0]] == 0:
            continue
        room = pack_room(lying[2], lying[3], lying[4])
        edges = room & ~np.int64(GUARDS)
        scratch.single[singles] = edges
        scratch.single_type[singles] = lying[0]
        singles += 1
        if _any_fits(small, size, room):
            continue
        kept = 0
        for k in range(size):
            if ((small[k] | GUARDS) - edges) & GUARDS != GUARDS:
                small[kept] = small[k]
                kept += 1
        size = kept
        if size == MOST_SMALL:
            small[0] = 0  # too many to tell apart: everything may fit
            size = 1
        small[size] = edges
        size += 1
    scratch.size[1] = size
    scratch.size[2] = singles


@kernel
def _any_fits(packed, size, room):  # type: ignore[no-untyped-def]
    for k in range(size):
        if (room - packed[k]) & GUARDS == GUARDS:
            return True
    return False


@kernel
def takes_a_box(scratch, space, left):  # type: ignore[no-untyped-def]
    """Whether any box in stock fits a space; most are slivers, so the cheap test is first."""
    room = pack_room(space[X1] - space[X0], space[Y1] - space[Y0], space[Z1] - space[Z0])
    if not _any_fits(scratch.small, scratch.size[1], room):
        return False
    for k in range(scratch.size[2]):
        if (room - scratch.single[k]) & GUARDS == GUARDS and left[scratch.single_type[k]] > 0:
            return True
    return False


@kernel
def refresh_reach(catalogue, state, scratch):  # type: ignore[no-untyped-def]
    """Longest sums of remaining box edges within each length, axis by axis (bounded knapsack)."""
    reach = scratch.reach
    used = scratch.used
    for axis in range(3):
        length = catalogue.container[axis]
        for r in range(length + 1):
            reach[axis, r] = 0
        reach[axis, 0] = 1
        for row in range(catalogue.lying.shape[0]):
            kind = catalogue.lying[row, 0]
            edge = catalogue.lying[row, 2 + axis]
            left = state.left[kind]
            if left == 0 or (row > 0 and _listed_before(catalogue, row, axis)):
                continue
            for r in range(edge):
                used[r] = 0
            for r in range(edge, length + 1):
                used[r] = 0
                if not reach[axis, r] and reach[axis, r - edge] and used[r - edge] < left:
                    reach[axis, r] = 1
                    used[r] = used[r - edge] + 1
        longest = 0
        for r in range(length + 1):
            if reach[axis, r]:
                longest = r
            reach[axis, r] = longest


@kernel
def _listed_before(catalogue, row, axis):  # type: ignore[no-untyped-def]
    """Whether an earlier orientation of the same type has the same edge along the axis."""
    other = row - 1
    while other >= 0 and catalogue.lying[other, 0] == catalogue.lying[row, 0]:
        if catalogue.lying[other, 2 + axis] == catalogue.lying[row, 2 + axis]:
            return True
        other -= 1
    return False
