"""What a tier is built with: drawn at random for every tier, from what has served well.

Bounds and weights, pieces that it goes without or keeps off the deck, and what is wanted most.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np

from loading.planner.search.arrays import IN_TRUCK, Goods, Ints, Longs, Reals, State
from loading.planner.search.pieces import awkward, height_used, lengthwise
from loading.planner.search.score import W_ACROSS, W_DEPTH, W_HEIGHT, W_LEAST, WEIGHTS
from loading.planner.search.step import DENSITY_HOPED
from loading.planner.search.tier import DEEP_MM, DEEPEST, REACH_BACK, tier_start

# Each weight of the score is drawn from a range for every tier (the order of `score.W_*`): from
# where quick loads with weights at random, 2,000 in each of two rounds, came out shortest.
RANGES = (
    (0.1, 0.7),  # room shut in behind
    (0.4, 1.6),  # room above that nothing can use
    (0.3, 1.0),  # room beside that is too narrow
    (0.4, 1.0),  # large pieces first
    (0.0, 0.5),  # low before high
    (1.5, 4.5),  # near the nose before far from it
    (0.0, 1.0),  # heavy pieces low
    (0.2, 0.8),  # noise
    (60.0, 130.0),  # kg/m3 of what will rest on it
    (0.8, 3.0),  # reaching beyond the tier
    (0.05, 0.3),  # least score
    (0.0, 0.5),  # nose travel
    (0.35, 1.1),  # held on both sides
    (0.0, 4.0),  # pieces longer than the truck is wide, when nothing is in the tier yet
    (290.0, 480.0),  # mm: a narrower gap is lost
    (0.0, 1.0),  # from wall to wall
    (0.0, 0.6),  # a top that goes on beside it
    (0.1, 0.5),  # a front that goes on beside it
)
FAR_BACK = 2400  # mm: the same as REACH_BACK, onto the tops of the tiers before
PRICE_POWERS = (0.5, 1.0)  # how much more is wanted what costs more
RAISED = 0.4  # how often a tier keeps pieces off the deck that make little of its height
POOR = (0.5, 0.8)  # share of the height that such pieces make use of, at most


PLAIN: Reals = np.array([sum(ends) / 2 for ends in RANGES])  # for a tier that is not drawn
Taste = tuple[int, Reals]  # depth aimed at, and weights


class Drawing:
    """Draws with the dice of one worker."""

    def __init__(self, goods: Goods, dice: random.Random) -> None:
        self.random = dice
        self.face = float(goods.interior[1]) * float(goods.interior[2])
        self.skip = np.zeros(len(goods.weight), np.int32)
        self.awkward = awkward(goods)
        self.lengthwise = lengthwise(goods)
        self.height_used = height_used(goods)

    def tier(
        self, state: State, tastes: Sequence[Taste], *, desperate: bool
    ) -> tuple[Longs, Reals]:
        """Bounds and weights (see `tier.build_tier`), often near to one of the best load's."""
        rng = self.random
        weights = np.array([rng.uniform(*bounds) for bounds in RANGES[:WEIGHTS]])
        if desperate:
            weights[W_LEAST], weights[W_DEPTH] = 0.0, rng.uniform(0.0, RANGES[W_DEPTH][1])
            weights[W_HEIGHT] = rng.uniform(0.0, 1.0)  # else what nothing holds is tried on and on
            weights[W_ACROSS] = rng.uniform(0.0, 12.0)
        low = rng.choice((0.0, 0.05, 0.2, 0.5) if desperate else (0.1, 0.3, 0.4, 0.5))
        begin = tier_start(state, low)
        depth = rng.randrange(400, 1100)
        if not desperate and tastes and rng.random() < 0.5:
            depth, liked = rng.choice(tastes)
            weights = liked * np.array([rng.uniform(0.8, 1.25) for _ in range(WEIGHTS)])
        deepest = DEEPEST if desperate or rng.random() < 0.35 else DEEP_MM
        early = int(self.face * rng.choice((0, 0, rng.uniform(0, 900))) * DENSITY_HOPED)
        middle = 1 if desperate else 0
        most = rng.choice((1000, 1000, 4, 10)) if desperate else 1000
        back = REACH_BACK
        if rng.random() < 0.35 and any(state.where[i] != IN_TRUCK for i in self.lengthwise):
            back = FAR_BACK
        return np.array([begin, depth, deepest, most, early, middle, back], np.int64), weights

    def skipped(self, *, desperate: bool) -> Ints:
        """Pieces that this tier goes without (1), or keeps off the deck (2)."""
        if desperate or self.random.random() > RAISED:
            return self.skip
        poor = self.height_used < self.random.uniform(*POOR)
        return np.where((self.skip == 0) & poor, 2, self.skip).astype(np.int32)

    def wishes(self, state: State, wish: Reals, price: Reals) -> Reals:
        """What the last loads left off is wanted more; one awkward piece may be wanted first.

        `wish` and `price` (n,): how often a piece was left off of late, and what it costs.
        """
        wishes = wish * price ** self.random.choice(PRICE_POWERS)
        if self.random.random() < 0.4:
            wishes[self.awkward[self.random.randrange(len(self.awkward))]] *= 8.0
        waiting = [i for i in self.lengthwise if state.where[i] != IN_TRUCK]
        urgent = any(wish[i] > 1.2 for i in waiting)
        if waiting and self.random.random() < (0.85 if urgent else 0.5):
            wishes[self.random.choice(waiting)] *= 25.0
        return wishes
