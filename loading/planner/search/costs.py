"""What a piece costs: the truck length that it took in the loads finished so far.

A tier that is little filled takes much length for what it holds. Whatever ends in such tiers is
worth more to the next beam, which then builds it in earlier, among pieces that go with it. The idea
is that of prices from the last solution (column generation; Gilmore and Gomory 1961), though these
are shares of what was used and no duals.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from loading.planner.search.arrays import BOXES, IN_TRUCK, ITEM, X1, Goods, Reals, State
from loading.planner.search.step import face_reach

LEARN = 0.2  # what the newest load counts against all before it
LEAST_PRICE, MOST_PRICE = 0.3, 8.0


class Costs:
    """The truck length (mm) that each piece takes, learnt from load to load."""

    def __init__(self, goods: Goods, volume: Reals) -> None:
        self.volume = volume
        self.face = float(goods.interior[1]) * float(goods.interior[2])
        self.cost: Reals | None = None

    def learn(self, states: list[State], dense: float) -> None:
        """Note a finished load: its states after each tier, the first before the tiers in question.

        Each tier's length is shared out by volume. What juts out beyond the whole load has cost
        that length besides. `dense`: how densely what this load says nothing of is thought to pack.
        """
        cost = self._by_volume(dense)
        reach = face_reach(states[0])
        for before, after in pairwise(states):
            now = face_reach(after)
            new = (after.where == IN_TRUCK) & (before.where != IN_TRUCK)
            volume = float(self.volume[new].sum())
            if volume > 0.0:
                cost[new] = self.volume[new] * (max(1.0, now - reach) / volume)
            reach = now
        self._jutting(cost, states[-1], reach)
        self.cost = cost if self.cost is None else (1 - LEARN) * self.cost + LEARN * cost

    def lengths(self, dense: float) -> Reals:
        """What each piece costs, mm; by its volume before any load is known."""
        return self._by_volume(dense) if self.cost is None else self.cost

    def prices(self, dense: float) -> Reals:
        """What each piece costs against what its volume would, at a density of the best load."""
        return np.clip(self.lengths(dense) / self._by_volume(dense), LEAST_PRICE, MOST_PRICE)

    def _by_volume(self, dense: float) -> Reals:
        return self.volume / (self.face * dense)

    @staticmethod
    def _jutting(cost: Reals, state: State, reach: float) -> None:
        box = state.box[: int(state.tally[BOXES])]
        over = np.where(box[:, ITEM] >= 0, box[:, X1] - reach, 0.0).clip(0.0)
        out = over > 0.0
        cost[box[out, ITEM]] += over[out] * over[out] / max(1.0, over.sum())
