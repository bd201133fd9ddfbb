"""Refilling of one packing, a few dozen times a call."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from loading.planner.packing.catalogue import Catalogue, Taste
from loading.planner.packing.refill import refill
from loading.planner.packing.rollout import take_stock
from loading.planner.packing.scratch import scratch_for
from loading.planner.packing.state import (
    BLOCK,
    PLACED,
    VOLUME,
    copy_state,
    empty_states,
    start_state,
    state_at,
)

BATCH = 32
SLACK_PER_10_000 = 20


class RefillRun:
    """Starts from `placed`, (n, 8) as State.placed with rows of Blocks."""

    def __init__(
        self,
        catalogue: Catalogue,
        placed: NDArray[np.int32],
        taste: Taste,
        full_support: bool,
        dice: int,
    ) -> None:
        self.catalogue = catalogue
        self.taste = taste
        self.supported = full_support
        self.least = int(catalogue.lying[:, 2:].min())
        self.slack = int(np.prod(catalogue.container, dtype=np.int64)) * SLACK_PER_10_000 // 10_000
        self.dice = np.array([dice], np.int64)
        self.scratch = scratch_for(catalogue.container, len(catalogue.volume), len(catalogue.lying))
        pool = empty_states(3, len(catalogue.counts))
        self.current, self.work, self.best = (state_at(pool, k) for k in range(3))
        self._enter(placed)

    def _enter(self, placed: NDArray[np.int32]) -> None:
        """Fill `current` and `best`; their free room is not needed, only what is placed."""
        index_of = np.zeros(len(self.catalogue.row), np.int32)
        index_of[self.catalogue.row] = np.arange(len(self.catalogue.row), dtype=np.int32)
        start_state(self.catalogue, self.current)
        self.current.placed[: len(placed)] = placed
        self.current.placed[: len(placed), BLOCK] = index_of[placed[:, BLOCK]]
        self.current.head[PLACED] = len(placed)
        for block in self.current.placed[: len(placed), BLOCK]:
            take_stock(self.catalogue, self.current, block)
        copy_state(self.current, self.best)

    @property
    def best_volume(self) -> int:
        return int(self.best.head[VOLUME])

    def best_placed(self) -> NDArray[np.int32]:
        """(n, 8) as State.placed, but with rows of Blocks rather than of the catalogue."""
        placed: NDArray[np.int32] = self.best.placed[: self.best.head[PLACED]].copy()
        placed[:, BLOCK] = self.catalogue.row[placed[:, BLOCK]]
        return placed

    def go(self) -> int:
        """Refill BATCH times; returns the completions done."""
        refill(
            self.catalogue,
            self.current,
            self.work,
            self.best,
            self.scratch,
            self.dice,
            BATCH,
            self.slack,
            self.taste.height,
            self.supported,
            self.least,
        )
        return BATCH
