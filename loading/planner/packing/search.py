"""The anytime container-loading search: beams with greedy completion, and refilling.

Beam search after Araya and Riff 2014, "A beam search approach to the container loading problem",
Computers & Operations Research 43: a state is as good as the packing that greedy completion reaches
from it; a finished beam is followed by a wider one until time is up. In between, the best packing
is bettered by emptying and refilling parts of it (refill.py). Under the full support rule free room
is kept as level rectangles (levels.py) rather than maximal cuboids (spaces.py).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from loading.planner.packing.beam_run import BeamRun
from loading.planner.packing.blocks import Blocks, Goods, build_blocks, goods_of
from loading.planner.packing.catalogue import Catalogue, catalogue_of
from loading.planner.packing.problem import BoxType, Instance
from loading.planner.packing.refill_run import RefillRun
from loading.planner.packing.rounds import Round, run_rounds
from loading.planner.packing.solution import Solution, unfold
from loading.planner.stopping import Iterations, Stop


def pack(
    instance: Instance,
    *,
    full_support: bool,
    seed: int,
    stop: Stop,
    on_better: Callable[[float], None] | None = None,
) -> Solution:
    """The fullest packing found until `stop`; at least one greedy packing is always made.

    The same instance, seed and number of iterations (greedy completions) give the same packing,
    and a larger number never a worse one. `on_better` hears the share of the container used, 0-1.
    """
    search = _Search(instance, full_support, seed, stop, on_better)
    if search.goods.counts.any() and len(search.goods.lying):
        run_rounds(search, types=len(instance.boxes), full_support=full_support, seed=seed)
    return search.solution()


def warm() -> None:
    """Compile every kernel, or load it from the cache, by packing a toy container both ways."""
    boxes = (
        BoxType((2, 3, 4), (True, True, True), 6),
        BoxType((2, 2, 3), (True, True, True), 6),
    )
    toy = Instance("warm", 0, (7, 5, 5), boxes)  # more goods than room: no early end
    for full_support in (False, True):
        pack(toy, full_support=full_support, seed=0, stop=Iterations(200))


@dataclass(slots=True)
class _Search:
    """What the rounds share: the stock of blocks, the count of iterations, the best packing."""

    instance: Instance
    full_support: bool
    seed: int
    stop: Stop
    on_better: Callable[[float], None] | None
    iterations: int = 0
    stopped: bool = False
    best_volume: int = 0
    found_at: int = 0
    goods: Goods = field(init=False)
    _everything: int = field(init=False)
    _room: int = field(init=False)
    _best_placed: NDArray[np.int32] = field(init=False)
    _best_spec: Round | None = None
    _found: NDArray[np.int32] | None = None
    _blocks: dict[tuple[int, float], Blocks] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.goods = goods_of(self.instance)
        self._everything = int(self.goods.volumes @ self.goods.counts)
        self._room = int(np.prod(self.goods.container, dtype=np.int64))

    def solution(self) -> Solution:
        if self._best_spec is None:
            return Solution(())
        blocks = self._blocks_for(self._best_spec)
        boxes = unfold(self.instance, blocks, self._best_placed)
        return Solution(boxes, self.found_at)

    def beam(self, spec: Round) -> int:
        """Run one beam to its end, or until the search stops; the volume it reached."""
        if self.stopped:
            return 0
        blocks = self._blocks_for(spec)
        if not len(blocks.volume):
            self.stopped = True
            return 0
        run = BeamRun(
            self._catalogue(blocks, spec), spec.width, spec.recipe.taste, self.full_support
        )
        while run.states and not self.stopped:
            for index in range(run.states):
                if self._count(run.judge(index), run.best_volume, run.best_placed, spec):
                    break
            else:
                run.step()
        self._found = run.best_placed()
        return run.best_volume

    def refill(self, spec: Round, times: int) -> None:
        """Better what the last beam found; it was run to `spec`."""
        if self._found is not None and not self.stopped:
            self._refill(spec, times, self._found)

    def polish(self, times: int) -> None:
        """Better the best packing so far."""
        if self._best_spec is not None and not self.stopped:
            self._refill(self._best_spec, times, self._best_placed)

    def _refill(self, spec: Round, times: int, placed: NDArray[np.int32]) -> None:
        catalogue = self._catalogue(self._blocks_for(spec), spec)
        dice = self.seed * 1_000_003 + self.iterations
        run = RefillRun(catalogue, placed, spec.recipe.taste, self.full_support, dice)
        until = self.iterations + times
        while self.iterations < until and not self.stopped:
            self._count(run.go(), run.best_volume, run.best_placed, spec)

    def _count(
        self,
        done: int,
        volume: int,
        placed: Callable[[], NDArray[np.int32]],
        spec: Round,
    ) -> bool:
        """Note iterations and a better packing; whether the search is to stop."""
        self.iterations += done
        if volume > self.best_volume:
            self.best_volume = volume
            self._best_placed = placed()
            self._best_spec = spec
            self.found_at = self.iterations
            if self.on_better is not None:
                self.on_better(volume / self._room)
        self.stopped = self.stop.reached(self.iterations) or self.best_volume == self._everything
        return self.stopped

    def _blocks_for(self, spec: Round) -> Blocks:
        key = (spec.blocks, spec.recipe.fill_percent)
        if key not in self._blocks:
            self._blocks[key] = build_blocks(
                self.goods,
                limit=spec.blocks,
                fill_percent=spec.recipe.fill_percent,
                supported=self.full_support,
            )
        return self._blocks[key]

    def _catalogue(self, blocks: Blocks, spec: Round) -> Catalogue:
        return catalogue_of(self.goods, blocks, spec.recipe.taste)
