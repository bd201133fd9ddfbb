"""One beam from the empty container on, a level at a time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loading.planner.packing.beam import Beam, beam_for, judge_children, step_beam
from loading.planner.packing.catalogue import Catalogue, Taste
from loading.planner.packing.scratch import scratch_for
from loading.planner.packing.state import BLOCK, PLACED, VOLUME, start_state, state_at

MOST_ROOT_CHILDREN = 400


class BeamRun:
    """`states` is how many the current level has; none are left when the beam is finished."""

    def __init__(self, catalogue: Catalogue, width: int, taste: Taste, full_support: bool) -> None:
        self.width = width
        self.catalogue = catalogue
        self.taste = taste
        self.supported = full_support
        self.least = int(catalogue.lying[:, 2:].min())
        number = len(catalogue.volume)
        self.root_children = min(max(width, MOST_ROOT_CHILDREN), width**2)
        self.beam: Beam = beam_for(width, self.root_children, len(catalogue.counts), number)
        self.scratch = scratch_for(catalogue.container, number, len(catalogue.lying))
        self.states = 1
        self.depth = 0
        self.known: NDArray[np.int64] = np.full(1, -1, np.int64)
        start_state(catalogue, state_at(self.beam.now, 0))

    @property
    def best_volume(self) -> int:
        return int(self.beam.best.head[0, VOLUME])

    def best_placed(self) -> NDArray[np.int32]:
        """(n, 8) as State.placed, but with rows of Blocks rather than of the catalogue."""
        placed = self.beam.best.placed[0, : self.beam.best.head[0, PLACED]].copy()
        placed[:, BLOCK] = self.catalogue.row[placed[:, BLOCK]]
        return placed

    def judge(self, index: int) -> int:
        """Complete the children of one state; returns the completions it took."""
        return int(
            judge_children(
                self.catalogue,
                self.beam,
                self.scratch,
                index,
                self.known[index],
                self.root_children if self.depth == 0 else self.width,
                self.taste.height,
                self.supported,
                self.least,
            )
        )

    def step(self) -> None:
        """Go on with the best children whose completions differ in volume."""
        value = self.beam.value[: self.states].ravel()
        _, first = np.unique(-value, return_index=True)
        chosen = first[: self.width]
        chosen = chosen[value[chosen] >= 0]
        self.states = len(chosen)
        self.depth += 1
        if not self.states:
            return
        parents, children = np.divmod(chosen.astype(np.int32), self.beam.value.shape[1])
        step_beam(
            self.catalogue,
            self.beam,
            parents.astype(np.int32),
            children.astype(np.int32),
            self.states,
            self.supported,
            self.least,
        )
        self.beam = self.beam._replace(now=self.beam.then, then=self.beam.now)
        self.known = value[chosen]
