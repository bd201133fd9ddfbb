"""Which space is filled next, into which of its corners, and what touches it there.

The space is the one whose best corner is nearest a container corner (weighted Manhattan distance),
the larger one on a tie. What touches it is told in *local* coordinates: distances from that corner.
"""

from __future__ import annotations

import numpy as np

from loading.planner.packing.kernel import kernel
from loading.planner.packing.scratch import MOST_TOUCHES
from loading.planner.packing.state import DEAD, PLACED, SPACES, X0, X1, Y0, Y1, Z0, Z1


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
