"""Going on by a former plan: its tiers again, in order; what falls out goes where there is room."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator

import numpy as np

from loading.planner.search.arrays import (
    BOXES,
    IN_TRUCK,
    ITEM,
    SLACK,
    TIER,
    TIERS,
    X0,
    Desk,
    Goods,
    Longs,
    Reals,
    State,
)
from loading.planner.search.former import TierLeft
from loading.planner.search.keep import fill_tier, keep_tier
from loading.planner.search.step import (
    DENSITY_HOPED,
    add_tier,
    pick_out,
    promise,
    replay,
    restore,
)
from loading.planner.search.tier import DEEPEST, REACH_BACK
from loading.planner.search.tight import MOST_PADS

EFFORTS = (1, 2, 2, 3, 3, 4)  # how hard it is tried, round after round, to keep the tiers
# Truck length that is given for a piece to stay in its tier, and for one that fell out before to
# find a place.
STAYS_MM, FALLEN_MM = 100.0, 50.0
POLISH = 6
LOOKED_AT = 5  # ways to build a tier that are tried for the next one too
# How often a tier is built anew; the first that does not hold is worth more: all that follow may
# stay as they are if it is mended well.
TRIES, FIRST_TRIES = 3, 40
# How much of the budget all this may take, and in the first round the first that does not hold.
MOST, FIRST_MOST = 0.6, 0.3
LAST_TRIES = 4
FALLEN_MOST = 4  # pieces without a tier, after which the first round ends


class Follower:
    """Builds the rest of a former plan on `start`.

    `goods.out` is the order in which that plan brings the pieces out. `draw` gives the bounds and
    weights of a tier to be built anew, `plain` are the weights of one that is not; `room` is what
    (mm3) can go before the doors after that plan's load; `take` gives a state to write to; `spent`
    says how much of the budget is used with so many tiers built (0 to 1); `borne`: so many given
    pieces are loose for good.
    """

    def __init__(
        self,
        goods: Goods,
        start: State,
        desk: Desk,
        pull_order: Longs,
        dice: Longs,
        *,
        draw: Callable[[State], tuple[Longs, Reals]],
        plain: Reals,
        room: float,
        take: Callable[[], State],
        spent: Callable[[int], float],
        borne: int,
    ) -> None:
        self.goods, self.start, self.desk = goods, start, desk
        self.pull_order, self.dice = pull_order, dice
        self.draw, self.plain, self.take, self.spent = draw, plain, take, spent
        self.borne = borne
        self.spare = take()
        face = DENSITY_HOPED * float(goods.interior[1]) * float(goods.interior[2])
        self.stays, self.fallen = STAYS_MM * face, FALLEN_MM * face
        self.volume: Reals = goods.volume.astype(np.float64)
        self.value, self.room = self.volume, room
        self.evenly = np.ones(len(goods.weight))
        self.leaving = {int(i) for i in np.flatnonzero((goods.stays == 0) & (goods.turns > 0))}
        self.built = 0

    def follow(self, tiers: list[TierLeft], effort: int) -> tuple[list[State], bool]:
        """The load after each tier, and whether all tiers are there; nothing if the budget was
        spent before the last.

        `effort`: how often a tier that does not hold is built anew; the first time it is 1. Then
        it ends where more has fallen out than later tiers are likely to find room for, or what
        stood in a tier before the search stays loose: the rest is better built without the plan.
        """
        trail: list[State] = []
        at, shift = self.start, 0
        homes = {i for left in tiers for i in left.items()}
        pool = self._missing(at, self.leaving - homes)
        for left, ahead in zip(tiers, [*tiers[1:], None], strict=True):
            if effort > 1 and self.spent(self.built) >= MOST:
                return [], False
            before = self._numbered(at, left.tier)
            at = self._tier(before, left, pool, shift, ahead, effort)
            if self._loose(before, at):
                return trail, False
            trail.append(at)
            pool = self._missing(at, {*pool, *left.items()})
            if effort == 1 and self._is_too_much(pool):
                return trail, False
            shift = self._shift(at, left, shift)
        while pool and self.spent(self.built) < 1.0:
            last = self._last_tier(at, pool, effort)
            if last is None:
                break
            trail.append(last)
            at, pool = last, self._missing(last, pool)
        return trail, True

    def _is_too_much(self, pool: set[int]) -> bool:
        """Whether more has fallen out than is likely to find room before the doors."""
        return len(pool) > FALLEN_MOST and float(self.volume[list(pool)].sum()) > self.room

    def _numbered(self, at: State, tier: int) -> State:
        """A copy, to which the next tier is added under its old number."""
        before = self.take()
        restore(at, before)
        before.tally[TIERS] = tier - 1
        return before

    def _missing(self, state: State, items: Collection[int]) -> set[int]:
        return {i for i in items if state.where[i] != IN_TRUCK}

    def _shift(self, state: State, left: TierLeft, shift: int) -> int:
        """How much nearer to the doors the tier's pieces stand than in the former plan (mm)."""
        boxes = state.box[: int(state.tally[BOXES])]
        at = {int(row[ITEM]): int(row[X0]) for row in boxes if row[TIER] == left.tier}
        moved = sorted(at[piece[0]] - piece[2] for piece in left.pieces if piece[0] in at)
        return moved[len(moved) // 2] if moved else shift

    def _tier(
        self,
        before: State,
        left: TierLeft,
        pool: set[int],
        shift: int,
        ahead: TierLeft | None,
        effort: int,
    ) -> State:
        kept, own = self._kept(before, left, shift), set(left.items())
        self.value = self.volume.copy()
        self.value[list(pool)] += self.fallen
        self.value[list(own)] += self.stays
        loose = self._loose(before, kept)
        if not self._missing(kept, own | pool) and not loose:
            return kept
        ways: list[State] = []
        for way in self._ways(before, kept, own, pool, left.begin + shift, effort):
            whole = not self._missing(way, own | pool) and not self._loose(before, way)
            if whole and not self._loss(way, ahead, left, shift):
                return way
            ways.append(way)
        lost = len(self._missing(kept, own))
        fair = [
            way
            for way in ways
            if self._loose(before, way) < loose or len(self._missing(way, own)) <= lost
        ]
        fair.sort(key=lambda way: (self._loose(before, way), self._rank(way)))

        def with_next(way: State) -> tuple[int, float]:
            loss = self._loss(way, ahead, left, shift)
            return self._loose(before, way), self._rank(way) + loss

        return min(fair[:LOOKED_AT], key=with_next, default=kept)

    def _loose(self, before: State, state: State) -> int:
        """How many pieces nothing holds of those that stood in the tier before the search."""
        if self._begun(before) is None:
            return 0
        return max(0, int(state.tally[SLACK]) - self.borne)

    def _ways(
        self, before: State, kept: State, own: set[int], pool: set[int], begin: int, effort: int
    ) -> Iterator[State]:
        """Ways to build a tier that does not hold; `kept` is what is left of it, if anything."""
        found = 0
        # What waits on the floor may keep the next pieces from coming out: something has to go in.
        if int(kept.tally[BOXES]) > int(before.tally[BOXES]):
            found = 1
            yield kept
        tries = effort * (TRIES if pool else FIRST_TRIES)
        share = FIRST_MOST if effort == 1 and not pool else MOST
        loose = self._loose(before, kept)
        for k in range(tries):
            if self.spent(self.built) >= share and (found or k >= TRIES):
                return
            # What stands in the tier has to be held, by whatever piece it takes.
            wanted = self.leaving if loose and k % 4 >= 2 else own | pool
            if k % 2:
                new = self._anew(before, wanted)
            else:
                new = self._filled(before, kept, wanted, begin)
            found += len(new)
            yield from new

    def _rank(self, state: State) -> float:
        """The length (mm) that the load promises to end with, pieces lost being dear."""
        return float(promise(self.goods, state, self.value))

    def _loss(self, state: State, ahead: TierLeft | None, left: TierLeft, shift: int) -> float:
        """The price of the pieces that the next tier would lose."""
        if ahead is None:
            return 0.0
        before = self._numbered(state, ahead.tier)
        kept = self._kept(before, ahead, self._shift(state, left, shift))
        return STAYS_MM * len(self._missing(kept, ahead.items()))

    def _kept(self, before: State, left: TierLeft, shift: int) -> State:
        """The tier with all that still stands in or near its place."""
        target = self.take()
        restore(before, target)
        moves, rolls = left.moves(), left.rolls()
        rolls[:, 0] += shift
        begun = self._begun(before)
        begin = max(0, left.begin + shift) if left.pieces or left.fills else begun or 0
        placed = 0
        for kept in (moves, moves[:0]):
            # What stood in it before has to be held even if nothing else stays in it.
            if placed == 0 and (len(kept) or begun is not None):
                self.built += 1
                placed = keep_tier(
                    self.goods, before, target, self.desk, self.pull_order, _bounds(begin),
                    self.plain, MOST_PADS, kept, rolls, shift,
                )  # fmt: skip
        return target

    def _begun(self, before: State) -> int | None:
        """Where the next tier begins, if some of it stands in the truck already."""
        boxes = before.box[: int(before.tally[BOXES])]
        own = boxes[boxes[:, TIER] == int(before.tally[TIERS]) + 1]
        return int(own[:, X0].min()) if len(own) else None

    def _filled(self, before: State, kept: State, wanted: set[int], begin: int) -> list[State]:
        """The tier with what finds room in it of what fell out; nothing if none does."""
        if int(kept.tally[BOXES]) == int(before.tally[BOXES]):
            return []
        target = self.take()
        restore(kept, target)
        bounds = _bounds(max(0, begin))
        _, weights = self.draw(before)
        self.built += 1
        placed = fill_tier(
            self.goods, before, target, self.desk, self.pull_order, bounds, weights, self.dice,
            self._all_but(wanted), self.evenly, MOST_PADS,
        )  # fmt: skip
        ways = [target] if placed else []
        for _ in range(POLISH):
            ways += self._reworked(before, ways[-1] if ways else kept, wanted, bounds, weights)
        return ways

    def _reworked(
        self, before: State, kept: State, wanted: set[int], bounds: Longs, weights: Reals
    ) -> list[State]:
        """The tier with a part of it taken off and filled up anew, if that is better."""
        target, loose = self.take(), np.zeros(len(kept.box), np.int32)
        restore(kept, target)
        pick_out(target, int(before.tally[BOXES]), self.dice, loose)
        self.built += 1
        left = replay(
            self.goods, before, target, self.desk, self.pull_order, bounds, weights, loose
        )
        placed = left and fill_tier(
            self.goods, before, target, self.desk, self.pull_order, bounds, weights, self.dice,
            self._all_but(wanted), self.evenly, MOST_PADS,
        )  # fmt: skip
        return [target] if placed and self._rank(target) < self._rank(kept) else []

    def _anew(self, before: State, wanted: set[int]) -> list[State]:
        """A new tier of the wanted pieces; nothing if there is none."""
        target = self.take()
        bounds, weights = self.draw(before)
        self.built += 1
        placed = add_tier(
            self.goods, before, target, self.spare, self.desk, self.pull_order, bounds, weights,
            self.dice, self._all_but(wanted), self.evenly, self.value, MOST_PADS, POLISH, 0,
        )  # fmt: skip
        return [target] if placed else []

    def _last_tier(self, at: State, pool: set[int], effort: int) -> State | None:
        """A tier behind all others for what has found no place yet; None if nothing stands."""
        ways = [way for _ in range(LAST_TRIES * effort) for way in self._anew(at, pool)]
        return min(ways, key=self._rank, default=None)

    def _all_but(self, wanted: Collection[int]) -> np.ndarray:
        skip = np.ones(len(self.goods.weight), np.int32)
        skip[list(wanted)] = 0
        return skip


def _bounds(begin: int) -> Longs:
    """The bounds of a tier that begins at so many mm and is free else."""
    return np.array([begin, DEEPEST, DEEPEST, 1000, 0, 0, REACH_BACK], np.int64)
