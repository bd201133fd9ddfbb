"""Lanes as stacks of ranks: the state on which a given pull order is worked out.

A rank is the turn in which a vault leaves (0 first); every vault that stays has the rank `leaving`,
so that among themselves they never stand in each other's way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from loading.planner.pulls.yard import Yard


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

    def low(self, lane: int) -> int:
        """The earliest rank in a lane; `leaving` when nothing in it leaves."""
        return min(self.ranks[lane], default=self.leaving)

    def lane_of(self, rank: int) -> int:
        return next(i for i, ranks in enumerate(self.ranks) if rank in ranks)

    def pulled(self, lane: int) -> Stacks:
        return self._with({lane: (self.ranks[lane][:-1], self.slots[lane][:-1])})

    def moved(self, source: int, target: int) -> Stacks:
        slot = self.heights[target] - self.free(target) + 1
        return self._with(
            {
                source: (self.ranks[source][:-1], self.slots[source][:-1]),
                target: (
                    (*self.ranks[target], self.ranks[source][-1]),
                    (*self.slots[target], slot),
                ),
            }
        )

    def _with(self, changed: dict[int, tuple[tuple[int, ...], tuple[int, ...]]]) -> Stacks:
        ranks, slots = list(self.ranks), list(self.slots)
        for lane, (lane_ranks, lane_slots) in changed.items():
            ranks[lane], slots[lane] = lane_ranks, lane_slots
        return Stacks(tuple(ranks), tuple(slots), self.heights, self.leaving)

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


def stacks_of(yard: Yard, order: Sequence[str]) -> Stacks:
    """The yard with the ranks that a pull order gives to the vaults."""
    turn = {code: rank for rank, code in enumerate(order)}
    return Stacks(
        ranks=tuple(tuple(turn.get(v.code, len(order)) for v in ln.vaults) for ln in yard.lanes),
        slots=tuple(tuple(v.slot for v in lane.vaults) for lane in yard.lanes),
        heights=tuple(lane.slots for lane in yard.lanes),
        leaving=len(order),
    )
