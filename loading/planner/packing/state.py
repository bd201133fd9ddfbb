"""A partial packing as flat arrays that are cheap to copy."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loading.planner.packing.kernel import kernel

MOST_SPACES = 600
MOST_PLACED = 600

# columns of State.spaces; a dead space takes no block but may still be joined with a neighbour
X0, Y0, Z0, X1, Y1, Z1, DEAD = range(7)
# columns of State.placed: the six bounds, the block, and the axes along which it is mirrored
BLOCK, MIRROR = 6, 7
# entries of State.head
SPACES, PLACED, VOLUME, MARK = range(4)


class State(NamedTuple):
    """spaces: (MOST_SPACES, 7). placed: (MOST_PLACED, 8). left: (types,). head: (4,) int64."""

    spaces: NDArray[np.int32]
    placed: NDArray[np.int32]
    left: NDArray[np.int32]
    head: NDArray[np.int64]


def empty_states(number: int, types: int) -> State:
    """A pool of states: each array with a leading dimension."""
    return State(
        np.zeros((number, MOST_SPACES, 7), np.int32),
        np.zeros((number, MOST_PLACED, 8), np.int32),
        np.zeros((number, types), np.int32),
        np.zeros((number, 4), np.int64),
    )


@kernel
def state_at(pool, index):  # type: ignore[no-untyped-def]
    return State(pool.spaces[index], pool.placed[index], pool.left[index], pool.head[index])


@kernel
def copy_state(source, target):  # type: ignore[no-untyped-def]
    for row in range(source.head[SPACES]):
        for column in range(7):
            target.spaces[row, column] = source.spaces[row, column]
    for row in range(source.head[PLACED]):
        for column in range(8):
            target.placed[row, column] = source.placed[row, column]
    for kind in range(source.left.shape[0]):
        target.left[kind] = source.left[kind]
    for entry in range(4):
        target.head[entry] = source.head[entry]


@kernel
def start_state(catalogue, state):  # type: ignore[no-untyped-def]
    """The empty container: one space."""
    state.head[:] = 0
    state.left[:] = catalogue.counts
    add_space(
        state, 0, 0, 0, catalogue.container[0], catalogue.container[1], catalogue.container[2], 0
    )


@kernel
def add_space(state, x0, y0, z0, x1, y1, z1, dead):  # type: ignore[no-untyped-def]
    """Append a space; when the table is full the space is forgotten, which only loses room."""
    row = state.head[SPACES]
    if row >= MOST_SPACES:
        return
    space = state.spaces[row]
    space[X0] = x0
    space[Y0] = y0
    space[Z0] = z0
    space[X1] = x1
    space[Y1] = y1
    space[Z1] = z1
    space[DEAD] = dead
    state.head[SPACES] = row + 1


@kernel
def drop_space(state, row):  # type: ignore[no-untyped-def]
    """Remove a space by moving the last one into its row."""
    last = state.head[SPACES] - 1
    for column in range(7):
        state.spaces[row, column] = state.spaces[last, column]
    state.head[SPACES] = last
