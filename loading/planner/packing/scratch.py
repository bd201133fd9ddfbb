"""Working room of the kernels, so that none of them allocates."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

MOST_TOUCHES = 64
MOST_SMALL = 64


class Scratch(NamedTuple):
    """Working room of one search.

    room: (3,) edges of the space. touch: (6, MOST_TOUCHES, 4) rectangles, in local coordinates,
    that touch its near sides (0-2) and far sides (3-5), touches: (6,) how many, full: (6,) whether
    one covers the whole side. reach: (3, longest + 1) longest sum of remaining edges within a
    length, used: room to find it. packed, block: candidate blocks, worth descending. small: packed
    edges of boxes; when none of them fits, no block does. single, single_type: the boxes in stock
    in all orientations. size: (3,) how many candidates, small ones, single ones.
    """

    room: NDArray[np.int32]
    touch: NDArray[np.int32]
    touches: NDArray[np.int32]
    full: NDArray[np.int32]
    reach: NDArray[np.int32]
    used: NDArray[np.int32]
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
        np.zeros(int(container.max()) + 1, np.int32),
        np.zeros(blocks, np.int64),
        np.zeros(blocks, np.int32),
        np.zeros(3, np.int64),
        np.zeros(MOST_SMALL, np.int64),
        np.zeros(lying, np.int64),
        np.zeros(lying, np.int32),
    )
