"""Which space next, and how well a block suits it.

The space is the one whose best corner is nearest a container corner (weighted Manhattan distance),
the larger one on a tie. The score of a block follows Araya and Riff 2014, "A beam search approach
to the container loading problem", Computers & Operations Research 43:

    volume * contact ** alpha * use ** beta * boxes ** -gamma

contact: share of the block's surface that touches a wall or another block. use: product over the
axes of (block edge + the longest sum of remaining edges that fits the rest) / space edge.
Within a space all coordinates here are *local*: distances from the corner the block goes into.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loading.planner.packing.catalogue import EDGE, GUARDS, NEVER_FITS, STEPS, in_stock, pack_room
from loading.planner.packing.kernel import kernel
from loading.planner.packing.state import (
    DEAD,
    PLACED,
    SPACES,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
)

MOST_TOUCHES = 64
MOST_SMALL = 64
NEVER = 1 << 40
ROUNDING = 1e-7  # lifts a table index that fell just short of a whole number


class Scratch(NamedTuple):
    """Working room of one search.

    room: (3,) edges of the space. touch: (6, MOST_TOUCHES, 4) local rectangles that touch its
    near sides (0-2) and far sides (3-5), touches: (6,) how many,
    full: (6,) whether one covers the whole side. reach: (3, longest + 1) longest
    sum of remaining edges within a length. packed, block: candidate blocks, worth descending.
    small: packed edges of boxes; when none of them fits, no block does. single, single_type: all
    boxes in all orientations. size: (3,) how many candidates, small ones, single ones.
    """

    room: NDArray[np.int32]
    touch: NDArray[np.int32]
    touches: NDArray[np.int32]
    full: NDArray[np.int32]
    reach: NDArray[np.int32]
    packed: NDArray[np.int64]
    block: NDArray[np.int32]
    size: NDArray[np.int64]
    small: NDArray[np.int64]
    single: NDArray[np.int64]
    single_type: NDArray[np.int32]


def scratch_for(container: NDArray[np.int32], blocks: int, lying: int) -> Scratch:
    return Scratch(
        np.zeros(3, np.int32),
        np.zeros((6, MOST_TOUCHES, 4), np.int32),
        np.zeros(6, np.int32),
        np.zeros(6, np.int32),
        np.zeros((3, int(container.max()) + 1), np.int32),
        np.zeros(blocks, np.int64),
        np.zeros(blocks, np.int32),
        np.zeros(3, np.int64),
        np.zeros(MOST_SMALL, np.int64),
        np.zeros(lying, np.int64),
        np.zeros(lying, np.int32),
    )


@kernel
def next_space(catalogue, state, height_weight, supported):  # type: ignore[no-untyped-def]
    """Row of the space to fill next, -1 when none is left."""
    best = -1
    best_far = np.int64(1 << 60)
    best_volume = np.int64(0)
    length, width, height = catalogue.container
    for row in range(state.head[SPACES]):
        space = state.spaces[row]
        if space[DEAD]:
            continue
        up = space[Z0] if supported else min(space[Z0], height - space[Z1])
        far = np.int64(
            min(space[X0], length - space[X1])
            + min(space[Y0], width - space[Y1])
            + height_weight * up
        )
        if far > best_far:
            continue
        volume = np.int64(space[X1] - space[X0]) * (space[Y1] - space[Y0]) * (space[Z1] - space[Z0])
        if far < best_far or volume > best_volume:
            best, best_far, best_volume = row, far, volume
    return best


@kernel
def mirror_of(catalogue, space, supported):  # type: ignore[no-untyped-def]
    """Axes (bits 1, 2, 4) along which the far side of a space is nearer the container's."""
    mirror = 0
    if catalogue.container[0] - space[X1] < space[X0]:
        mirror |= 1
    if catalogue.container[1] - space[Y1] < space[Y0]:
        mirror |= 2
    if not supported and catalogue.container[2] - space[Z1] < space[Z0]:
        mirror |= 4
    return mirror


@kernel
def _add_touch(scratch, side, u0, u1, v0, v1, room_u, room_v, flip_u, flip_v):  # type: ignore[no-untyped-def]
    """Note a touching rectangle, clipped to the side and turned into local coordinates."""
    if flip_u:
        u0, u1 = room_u - u1, room_u - u0
    if flip_v:
        v0, v1 = room_v - v1, room_v - v0
    row = scratch.touches[side]
    if row < MOST_TOUCHES:
        if u0 <= 0 and v0 <= 0 and u1 >= room_u and v1 >= room_v:
            scratch.full[side] = 1
        scratch.touch[side, row, 0] = max(0, u0)
        scratch.touch[side, row, 1] = min(room_u, u1)
        scratch.touch[side, row, 2] = max(0, v0)
        scratch.touch[side, row, 3] = min(room_v, v1)
        scratch.touches[side] = row + 1


@kernel
def gather_touches(catalogue, state, space, mirror, supported, scratch):  # type: ignore[no-untyped-def]
    """Fill `room`, `touch` and `touches` for a space."""
    for axis in range(3):
        scratch.room[axis] = space[axis + 3] - space[axis]
    scratch.touches[:] = 0
    scratch.full[:] = 0
    for axis in range(3):
        u, v = (1 if axis == 0 else 0), (1 if axis == 2 else 2)
        for far in range(2):
            gap = catalogue.container[axis] - space[axis + 3] if far else space[axis]
            wall = gap <= catalogue.slack[axis] or (supported and axis == 2 and far == 0)
            side = axis + 3 * (far ^ ((mirror >> axis) & 1))
            if wall:
                room_u, room_v = scratch.room[u], scratch.room[v]
                _add_touch(scratch, side, 0, room_u, 0, room_v, room_u, room_v, 0, 0)
                continue
            if supported and axis == 2:
                continue
            for row in range(state.head[PLACED]):
                box = state.placed[row]
                gap = box[axis] - space[axis + 3] if far else space[axis] - box[axis + 3]
                if gap < 0 or gap > catalogue.slack[axis]:
                    continue
                u0, u1 = box[u] - space[u], box[u + 3] - space[u]
                v0, v1 = box[v] - space[v], box[v + 3] - space[v]
                if u1 <= 0 or v1 <= 0 or u0 >= scratch.room[u] or v0 >= scratch.room[v]:
                    continue
                _add_touch(
                    scratch,
                    side,
                    u0,
                    u1,
                    v0,
                    v1,
                    scratch.room[u],
                    scratch.room[v],
                    (mirror >> u) & 1,
                    (mirror >> v) & 1,
                )


@kernel
def _touched(scratch, side, du, dv):  # type: ignore[no-untyped-def]
    """Area of [0, du] x [0, dv] on a side that touches something."""
    area = np.int64(0)
    for row in range(scratch.touches[side]):
        touch = scratch.touch[side, row]
        u = min(du, touch[1]) - touch[0]
        v = min(dv, touch[3]) - touch[2]
        if u > 0 and v > 0:
            area += np.int64(u) * v
    return min(area, np.int64(du) * dv)


@kernel
def _share(catalogue, block, scratch, slack):  # type: ignore[no-untyped-def]
    """The share of a block's surface that touches something."""
    share = 0.0
    for side in range(6):
        axis = side % 3
        if scratch.touches[side] == 0:
            continue
        if side >= 3 and slack[axis] + catalogue.edge[block, axis] < 0:
            continue
        if scratch.full[side]:
            share += catalogue.face[block, axis]
        else:
            u = catalogue.edge[block, 1 if axis == 0 else 0]
            v = catalogue.edge[block, 1 if axis == 2 else 2]
            share += _touched(scratch, side, u, v) * catalogue.face[block, 3]
    return share


@kernel
def _used(catalogue, block, scratch):  # type: ignore[no-untyped-def]
    """Product over the axes of the share of the space's edge that can be filled."""
    used = 1.0
    for axis in range(3):
        edge = catalogue.edge[block, axis]
        room = scratch.room[axis]
        used *= (edge + scratch.reach[axis, room - edge]) / room
    return used


@kernel
def best_blocks(catalogue, state, scratch, chosen, scores, wanted):  # type: ignore[no-untyped-def]
    """The `wanted` best blocks for the gathered space, best first; returns how many there are.

    Candidates come in order of worth, which bounds the score: the scan ends as soon as the bound
    falls below the last of the best, and each candidate is first held against tighter bounds.
    Candidates out of stock are struck from the scratch list for the rest of this rollout. One
    loop because nine tenths of the search's time go by here.
    """
    room = pack_room(scratch.room[0], scratch.room[1], scratch.room[2])
    # edge + slack[axis] >= 0 says that a block reaches the far side, within the tolerance
    slack = (
        catalogue.slack[0] - scratch.room[0],
        catalogue.slack[1] - scratch.room[1],
        catalogue.slack[2] - scratch.room[2],
    )
    # near: 1 where a near side touches anything; at_far: the edge from which a far side does
    near_x = 1 if scratch.touches[0] else 0
    near_y = 1 if scratch.touches[1] else 0
    near_z = 1 if scratch.touches[2] else 0
    far_x = scratch.room[0] - catalogue.slack[0] if scratch.touches[3] else NEVER
    far_y = scratch.room[1] - catalogue.slack[1] if scratch.touches[4] else NEVER
    far_z = scratch.room[2] - catalogue.slack[2] if scratch.touches[5] else NEVER
    found = 0
    bar = 0.0
    for k in range(_first_not_larger(catalogue, scratch), scratch.size[0]):
        packed = scratch.packed[k]
        if (room - packed) & GUARDS != GUARDS:
            continue
        block = scratch.block[k]
        worth = catalogue.worth[block]
        if worth <= bar:
            break
        face = catalogue.face[block]
        highest = (
            face[0] * (near_x + ((packed & EDGE) >= far_x))
            + face[1] * (near_y + (((packed >> 21) & EDGE) >= far_y))
            + face[2] * (near_z + ((packed >> 42) >= far_z))
        )
        if worth * catalogue.contact[np.uint64(highest * STEPS + ROUNDING)] <= bar:
            continue
        if not in_stock(catalogue, block, state.left):
            scratch.packed[k] = NEVER_FITS
            continue
        share = _share(catalogue, block, scratch, slack)
        score = worth * catalogue.contact[int(share * STEPS + ROUNDING)]
        if score <= bar:
            continue
        score *= catalogue.use[int(_used(catalogue, block, scratch) * STEPS + ROUNDING)]
        if score <= bar:
            continue
        slot = min(found, wanted - 1)
        while slot > 0 and scores[slot - 1] < score:
            chosen[slot] = chosen[slot - 1]
            scores[slot] = scores[slot - 1]
            slot -= 1
        chosen[slot] = block
        scores[slot] = score
        found = min(found + 1, wanted)
        if found == wanted:
            bar = scores[wanted - 1]
    return found


@kernel
def _first_not_larger(catalogue, scratch):  # type: ignore[no-untyped-def]
    """The first candidate whose worth does not exceed the volume of the space; larger never fit."""
    volume = float(scratch.room[0]) * scratch.room[1] * scratch.room[2]
    low, high = 0, scratch.size[0]
    while low < high:
        middle = (low + high) // 2
        if catalogue.worth[scratch.block[middle]] > volume:
            low = middle + 1
        else:
            high = middle
    return low


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
    used = np.zeros(reach.shape[1], np.int32)
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
