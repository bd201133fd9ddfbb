"""Kernels of the beam search: look at all children of a state by greedy completion."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loading.planner.packing.kernel import kernel
from loading.planner.packing.rollout import complete, open_space, place_block
from loading.planner.packing.state import VOLUME, State, copy_state, empty_states, state_at
from loading.planner.packing.stock import refresh_candidates, refresh_reach


class Beam(NamedTuple):
    """Room for a beam of `width` states and the judgement of their children.

    now, then: pools of width states. work, best: pools of one. row: (width,) space each state
    fills next. block, value: (width, children) best blocks for it and the volume that greedy
    completion reaches from there.
    """

    now: State
    then: State
    work: State
    best: State
    row: NDArray[np.int32]
    block: NDArray[np.int32]
    value: NDArray[np.int64]
    score: NDArray[np.float64]
    packed: NDArray[np.int64]
    candidate: NDArray[np.int32]


def beam_for(width: int, children: int, types: int, blocks: int) -> Beam:
    return Beam(
        empty_states(width, types),
        empty_states(width, types),
        empty_states(1, types),
        empty_states(1, types),
        np.zeros(width, np.int32),
        np.zeros((width, children), np.int32),
        np.zeros((width, children), np.int64),
        np.zeros(children, np.float64),
        np.zeros(blocks, np.int64),
        np.zeros(blocks, np.int32),
    )


@kernel
def judge_children(catalogue, beam, scratch, index, known, wanted, weight, supported, least):  # type: ignore[no-untyped-def]
    """Complete every promising child of state `index` greedily; returns the rollouts done.

    `known` is the volume its own completion reached, -1 if not known yet: the first child's
    completion is the same, so it is not run again. Children beyond the last get value -1.
    """
    state = state_at(beam.now, index)
    work = state_at(beam.work, 0)
    best = state_at(beam.best, 0)
    block, value = beam.block[index], beam.value[index]
    value[:] = -1
    refresh_reach(catalogue, state, scratch)
    refresh_candidates(catalogue, state, scratch)
    row, found = open_space(catalogue, state, scratch, block, beam.score, wanted, weight, supported)
    beam.row[index] = row
    size = scratch.size[0]
    for k in range(size):
        beam.packed[k] = scratch.packed[k]
        beam.candidate[k] = scratch.block[k]
    chosen = np.zeros(1, np.int32)
    score = np.zeros(1, np.float64)
    rollouts = 0
    for child in range(found):
        if child == 0 and known >= 0:
            value[0] = known
            continue
        copy_state(state, work)
        scratch.size[0] = size
        for k in range(size):
            scratch.packed[k] = beam.packed[k]
            scratch.block[k] = beam.candidate[k]
        place_block(catalogue, work, row, block[child], supported, least)
        complete(catalogue, work, scratch, chosen, score, weight, supported, least)
        rollouts += 1
        value[child] = work.head[VOLUME]
        if value[child] > best.head[VOLUME]:
            copy_state(work, best)
    return rollouts


@kernel
def step_beam(catalogue, beam, parents, children, number, supported, least):  # type: ignore[no-untyped-def]
    """Fill `then` with the chosen children of `now`."""
    for k in range(number):
        parent = state_at(beam.now, parents[k])
        child = state_at(beam.then, k)
        copy_state(parent, child)
        block = beam.block[parents[k], children[k]]
        place_block(catalogue, child, beam.row[parents[k]], block, supported, least)
