"""The anytime container-loading search: beams with greedy completion.

Beam search after Araya and Riff 2014, "A beam search approach to the container loading problem",
Computers & Operations Research 43: a state is as good as the packing that greedy completion reaches
from it; a finished beam is followed by a wider one until time is up. Under the full support rule
free room is kept as level rectangles (levels.py) rather than maximal cuboids.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from loading.planner.packing.beam import Beam, beam_for, judge_children, step_beam
from loading.planner.packing.blocks import Blocks, Goods, build_blocks, goods_of
from loading.planner.packing.catalogue import Catalogue, catalogue_of
from loading.planner.packing.problem import BoxType, Instance
from loading.planner.packing.rounds import Round, rounds
from loading.planner.packing.score import scratch_for
from loading.planner.packing.solution import PlacedBlock, PlacedBox, Solution, unfold
from loading.planner.packing.state import PLACED, VOLUME, start_state, state_at
from loading.planner.stopping import Iterations, Stop

MOST_ROOT_CHILDREN = 400


def pack(
    instance: Instance,
    *,
    full_support: bool,
    seed: int,
    stop: Stop,
    on_better: Callable[[float], None] | None = None,
) -> Solution:
    """The fullest packing found until `stop`; at least one greedy packing is always made.

    The same instance, seed and number of iterations (rollouts) give the same packing, and a larger
    number never a worse one. `on_better` hears the share of the container used, 0 to 1.
    """
    search = _Search(instance, full_support, stop, on_better)
    if not search.goods.counts.any() or not len(search.goods.lying):
        return Solution(())
    for spec in rounds(full_support=full_support):
        if search.run(spec):
            break
    return search.solution()


@dataclass(slots=True)
class _Search:
    instance: Instance
    full_support: bool
    stop: Stop
    on_better: Callable[[float], None] | None
    iterations: int = 0
    best_volume: int = 0
    best_boxes: tuple[PlacedBox, ...] = ()
    found_at: int = 0
    goods: Goods = field(init=False)
    _blocks: dict[tuple[int, float], Blocks] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.goods = goods_of(self.instance)

    def solution(self) -> Solution:
        return Solution(self.best_boxes, self.found_at)

    def run(self, spec: Round) -> bool:
        """Run one beam to its end; True when the search is to stop."""
        blocks = self._blocks_for(spec)
        if not len(blocks.volume):
            return True
        catalogue = catalogue_of(self.goods, blocks, spec.taste)
        run = _BeamRun(catalogue, spec, self.full_support)
        while run.states:
            for index in range(run.states):
                self.iterations += run.judge(index)
                if run.best_volume > self.best_volume:
                    self._keep(blocks, run)
                if self.stop.reached(self.iterations):
                    return True
            run.step()
        return self.best_volume == int(self.goods.volumes @ self.goods.counts)

    def _blocks_for(self, spec: Round) -> Blocks:
        key = (spec.blocks, spec.fill_percent)
        if key not in self._blocks:
            self._blocks[key] = build_blocks(
                self.goods,
                limit=spec.blocks,
                fill_percent=spec.fill_percent,
                supported=self.full_support,
            )
        return self._blocks[key]

    def _keep(self, blocks: Blocks, run: _BeamRun) -> None:
        self.best_volume = run.best_volume
        self.best_boxes = unfold(self.instance, blocks, run.placed_blocks())
        self.found_at = self.iterations
        if self.on_better is not None:
            self.on_better(sum(b.dx * b.dy * b.dz for b in self.best_boxes) / self.instance.volume)


class _BeamRun:
    """One beam from the empty container on."""

    def __init__(self, catalogue: Catalogue, spec: Round, full_support: bool) -> None:
        number = len(catalogue.volume)
        self.spec = spec
        self.catalogue = catalogue
        self.supported = full_support
        self.least = int(catalogue.lying[:, 2:].min())
        self.root_children = min(max(spec.width, MOST_ROOT_CHILDREN), spec.width**2)
        self.beam: Beam = beam_for(spec.width, self.root_children, len(catalogue.counts), number)
        self.scratch = scratch_for(catalogue.container, number, len(catalogue.lying))
        self.states = 1
        self.depth = 0
        self.known: NDArray[np.int64] = np.full(1, -1, np.int64)
        start_state(catalogue, state_at(self.beam.now, 0))

    @property
    def best_volume(self) -> int:
        return int(self.beam.best.head[0, VOLUME])

    def judge(self, index: int) -> int:
        """Complete the children of one state; returns the rollouts it took."""
        return int(
            judge_children(
                self.catalogue,
                self.beam,
                self.scratch,
                index,
                self.known[index],
                self.root_children if self.depth == 0 else self.spec.width,
                self.spec.taste.height,
                self.supported,
                self.least,
            )
        )

    def step(self) -> None:
        """Go on with the best children whose completions differ in volume."""
        value = self.beam.value[: self.states].ravel()
        _, first = np.unique(-value, return_index=True)
        chosen = first[: self.spec.width]
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

    def placed_blocks(self) -> list[PlacedBlock]:
        """The blocks of the best packing, as rows of Blocks."""
        best = state_at(self.beam.best, 0)
        return [
            PlacedBlock(
                int(self.catalogue.row[block]),
                (int(x0), int(y0), int(z0)),
                (int(x1 - x0), int(y1 - y0), int(z1 - z0)),
                int(mirror),
            )
            for x0, y0, z0, x1, y1, z1, block, mirror in best.placed[: best.head[PLACED]].tolist()
        ]


def warm() -> None:
    """Compile every kernel, or load it from the cache, by packing a toy container both ways."""
    boxes = (
        BoxType((2, 3, 4), (True, True, True), 6),
        BoxType((2, 2, 3), (True, True, True), 6),
    )
    toy = Instance("warm", 0, (8, 6, 5), boxes)
    for full_support in (False, True):
        pack(toy, full_support=full_support, seed=0, stop=Iterations(60))
