"""Lanes as stacks of ranks: the state on which a given pull order is worked out.

A rank is the turn in which a vault leaves (0 first); every vault that stays has the rank `leaving`,
so that among themselves they never stand in each other's way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from loading.planner.pulls.yard import Yard

OUT = -1


@dataclass(frozen=True, slots=True)
class Stacks:
    """Ranks and slots of each lane bottom to top, the heights in slots, how many leave."""

    ranks: tuple[tuple[int, ...], ...]
    slots: tuple[tuple[int, ...], ...]
    heights: tuple[int, ...]
    leaving: int

    @staticmethod
    def of_full(ranks: Sequence[Sequence[int]], heights: Sequence[int]) -> Stacks:
        """Stacks without lost slots; the highest rank is taken to stay if it is there twice."""
        every = sorted(rank for stack in ranks for rank in stack)
        stays = len(every) > 1 and every[-1] == every[-2]
        leaving = 0 if not every else every[-1] if stays else every[-1] + 1
        return Stacks(
            ranks=tuple(tuple(stack) for stack in ranks),
            slots=tuple(tuple(range(1, len(stack) + 1)) for stack in ranks),
            heights=tuple(heights),
            leaving=leaving,
        )

    def free(self, lane: int) -> int:
        return self.heights[lane] - (self.slots[lane][-1] if self.slots[lane] else 0)

    def blocking(self) -> int:
        """How many vaults stand before one that leaves earlier: each moves at least once."""
        count = 0
        for ranks in self.ranks:
            low = self.leaving
            for rank in ranks:
                if rank > low:
                    count += 1
                else:
                    low = rank
        return count


def stacks_of(yard: Yard, groups: Sequence[Sequence[str]]) -> Stacks:
    """The yard with ranks: the groups leave in turn, the vaults of one group in any order."""
    turn = {code: rank for rank, group in enumerate(groups) for code in group}
    return Stacks(
        ranks=tuple(tuple(turn.get(v.code, len(groups)) for v in ln.vaults) for ln in yard.lanes),
        slots=tuple(tuple(v.slot for v in lane.vaults) for lane in yard.lanes),
        heights=tuple(lane.slots for lane in yard.lanes),
        leaving=len(groups),
    )


def with_pulls(stacks: Stacks, moves: Sequence[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    """Moves between lanes with the pulls put in, each as early as it can be."""
    lanes = [list(ranks) for ranks in stacks.ranks]
    played = _pull_ready(lanes, stacks.leaving)
    for source, target in moves:
        lanes[target].append(lanes[source].pop())
        played.append((source, target))
        played += _pull_ready(lanes, stacks.leaving)
    return tuple(played)


def _pull_ready(lanes: list[list[int]], stays: int) -> list[tuple[int, int]]:
    """Take out what has its turn and can be reached, lane by lane."""
    pulled: list[tuple[int, int]] = []
    while True:
        turn = min((rank for lane in lanes for rank in lane), default=stays)
        ready = next((i for i, lane in enumerate(lanes) if lane and lane[-1] == turn), None)
        if turn == stays or ready is None:
            return pulled
        lanes[ready].pop()
        pulled.append((ready, OUT))
