"""Replays an answer move by move. Shares no code with the search.

Works on its own copy of the lanes: lists of (rank, slot), the last one being the one in front.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from loading.planner.pulls.stacks import Stacks

OUT = -1


@dataclass(frozen=True, slots=True)
class Replay:
    """`faults` says what is wrong, empty if nothing is; `moves` counts those between lanes."""

    faults: tuple[str, ...]
    moves: int


def replay(stacks: Stacks, moves: Sequence[tuple[int, int]], *, restricted: bool) -> Replay:
    """Play moves (from lane, to lane; -1: it leaves) and judge them."""
    play = _Play(stacks, restricted)
    for number, (source, target) in enumerate(moves, 1):
        fault = play.fault_of(source, target)
        if fault:
            return Replay((f"move {number}: {fault}",), play.moves)
        play.do(source, target)
    left = sum(1 for lane in play.lanes for rank, _ in lane if rank < stacks.leaving)
    return Replay((f"{left} do not leave",) if left else (), play.moves)


class _Play:
    def __init__(self, stacks: Stacks, restricted: bool) -> None:
        self.lanes = [
            list(zip(ranks, slots, strict=True))
            for ranks, slots in zip(stacks.ranks, stacks.slots, strict=True)
        ]
        self.heights, self.leaving, self.restricted = stacks.heights, stacks.leaving, restricted
        self.moves = 0

    def turn(self) -> int:
        return min((rank for lane in self.lanes for rank, _ in lane), default=self.leaving)

    def fault_of(self, source: int, target: int) -> str:
        if not 0 <= source < len(self.lanes) or not self.lanes[source]:
            return f"nothing stands in lane {source}"
        rank, turn = self.lanes[source][-1][0], self.turn()
        if target == OUT:
            return "" if rank == turn < self.leaving else f"rank {rank} leaves at turn {turn}"
        if target == source or not 0 <= target < len(self.lanes):
            return f"{target} is no other lane"
        if self.lanes[target] and self.lanes[target][-1][1] >= self.heights[target]:
            return f"lane {target} is full"
        if self.heights[target] < 1:
            return f"lane {target} has no slot"
        if self.restricted and turn not in (other for other, _ in self.lanes[source]):
            return f"lane {source} holds none whose turn it is"
        return ""

    def do(self, source: int, target: int) -> None:
        rank, _ = self.lanes[source].pop()
        if target == OUT:
            return
        slot = self.lanes[target][-1][1] + 1 if self.lanes[target] else 1
        self.lanes[target].append((rank, slot))
        self.moves += 1
