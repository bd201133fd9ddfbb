"""How well a block suits the corner of a space.

The score follows Araya and Riff 2014, "A beam search approach to the container loading problem",
Computers & Operations Research 43:

    volume * contact ** alpha * use ** beta * boxes ** -gamma

contact: share of the block's surface that touches a wall or another block. use: product over the
axes of (block edge + the longest sum of remaining edges that fits the rest) / space edge.
"""

from __future__ import annotations

import numpy as np

from loading.planner.packing.catalogue import EDGE, GUARDS, NEVER_FITS, STEPS, in_stock, pack_room
from loading.planner.packing.kernel import kernel

NEVER = 1 << 40  # longer than any edge
ROUNDING = 1e-7  # lifts a table index that fell just short of a whole number


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
