"""A search over pull orders around a search for loads: space use against moves against floor.

Orders are tried with a small part of the budget each, then some beside the best, the better ones
again with more, and the best with all that is left. The order with the fewest moves is among the
first, and an order may cost only so many moves more.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from loading.planner.dockside import timeline
from loading.planner.ordering.candidates import MOVES_MORE, Candidates, candidates, neighbours
from loading.planner.plan import LoadPlan
from loading.planner.pulls import PullOrder
from loading.planner.request import LoadRequest

# Plans a request with a part of the whole budget, from 0 to 1.
Planned = Callable[[LoadRequest, float], LoadPlan]

FIRST_TRIED = 6
FIRST_PART = 0.27  # all first tries together
BESIDE_TRIED = 2  # orders beside the best, each with the part of a first try
AGAIN_TRIED, AGAIN_PART = 2, 0.12  # the better ones once more


@dataclass(frozen=True, slots=True)
class Trial:
    """A pull order and the best plan found with it; lengths in mm, areas in mm2."""

    order: tuple[str, ...]
    moves: int
    loaded: int
    length_mm: int
    floor_peak_mm2: int
    plan: LoadPlan
    missing: float = 0.0  # share of what leaves, by volume, that is left off

    @property
    def promise(self) -> tuple[float, int, int]:
        """Less is better: the length with what a short search has left off, moves, floor."""
        return self.length_mm / max(0.01, 1.0 - self.missing), self.moves, self.floor_peak_mm2

    @property
    def key(self) -> tuple[int, int, int, int]:
        """Plans are judged by this, less is better: pieces, length, moves, floor."""
        return -self.loaded, self.length_mm, self.moves, self.floor_peak_mm2

    def beats(self, other: Trial) -> bool:
        """At least as good in each of pieces, length, moves and floor, and better in one."""
        pairs = list(zip(self.key, other.key, strict=True))
        return all(own <= its for own, its in pairs) and self.key != other.key


@dataclass(frozen=True, slots=True)
class OrderTrade:
    """What the orders that were tried give. `fewest_moves` is the order chosen by moves alone."""

    best: Trial
    fewest_moves: Trial
    trials: tuple[Trial, ...]

    @property
    def front(self) -> tuple[Trial, ...]:
        """Those that no other beats, fewest moves first: the trade to choose from."""
        kept = [one for one in self.trials if not any(it.beats(one) for it in self.trials)]
        return tuple(sorted(kept, key=lambda one: (one.moves, one.key)))


def search_orders(
    request: LoadRequest,
    planned: Planned,
    *,
    seed: int,
    first: int = FIRST_TRIED,
    moves_more: int = MOVES_MORE,
    spent: Callable[[], float] | None = None,
) -> OrderTrade:
    """Search over the pull orders; the parts given to `planned` come to at most 1.

    `spent` says how much of the budget is used, where a plan may take more than its part; without
    it every plan takes what it is given. A request whose pull order is forced, or that leaves no
    choice, is planned once.
    """
    if request.pull_order is not None:
        return _only(trial_of(request, request.pull_order, planned(request, 1.0)))
    found = candidates(request, seed=seed, limit=first, moves_more=moves_more)
    search = _Search(request, found, planned, spent)
    if len(found.orders) == 1:
        return _only(search.plan(found.orders[0], 1.0))
    return search.run(moves_more)


@dataclass
class _Search:
    request: LoadRequest
    found: Candidates
    planned: Planned
    spent: Callable[[], float] | None
    asked: float = 0.0
    orders: dict[tuple[str, ...], PullOrder] = field(default_factory=dict)
    trials: dict[tuple[str, ...], Trial] = field(default_factory=dict)

    def run(self, moves_more: int) -> OrderTrade:
        part = FIRST_PART / len(self.found.orders)
        base = self.found.orders[0]
        for order in self.found.orders:
            if not self.trials or self._used() + part <= FIRST_PART + part / 2:
                self.plan(order, part)
        self._try_beside(part, base.moves + moves_more)
        for codes in self._unlike()[:AGAIN_TRIED]:
            if len(self.trials) > 1 and self._used() < 1.0 - 2 * AGAIN_PART:
                self.plan(self.orders[codes], AGAIN_PART)
        left = 1.0 - self._used()
        if left > 0:
            self.plan(self.orders[self._promising()[0]], left)
        best = min(self.trials.values(), key=lambda trial: trial.key)
        return OrderTrade(best, self.trials[base.codes], tuple(self.trials.values()))

    def plan(self, order: PullOrder, part: float) -> Trial:
        """Plan with an order; the better of this plan and former ones with the same order."""
        request = self.found.request_for(self.request, order)
        trial = trial_of(self.request, order.codes, self.planned(request, part))
        self.asked += part
        self.orders[order.codes] = order
        former = self.trials.get(order.codes)
        if former is None or trial.key < former.key:
            self.trials[order.codes] = trial
        return trial

    def _try_beside(self, part: float, most_moves: int) -> None:
        """From the best order so far to the ones beside it."""
        best = self._promising()[0]
        waiting = self._untried(best, most_moves)
        for _ in range(BESIDE_TRIED):
            if not waiting or self._used() > FIRST_PART + BESIDE_TRIED * part:
                return
            self.plan(waiting.pop(0), part)
            if self._promising()[0] != best:
                best = self._promising()[0]
                waiting = self._untried(best, most_moves)

    def _untried(self, codes: tuple[str, ...], most_moves: int) -> list[PullOrder]:
        """Those beside an order, the ones with fewest moves first."""
        beside = neighbours(self.request, self.orders[codes], most=most_moves)
        untried = [order for order in beside if order.codes not in self.trials]
        return sorted(untried, key=lambda order: order.moves)

    def _promising(self) -> list[tuple[str, ...]]:
        return sorted(self.trials, key=lambda codes: self.trials[codes].promise)

    def _unlike(self) -> list[tuple[str, ...]]:
        """The most promising, one of those that gave the same load."""
        loads: dict[tuple[int, int], tuple[str, ...]] = {}
        for codes in self._promising():
            trial = self.trials[codes]
            loads.setdefault((trial.loaded, trial.length_mm), codes)
        return list(loads.values())

    def _used(self) -> float:
        return self.asked if self.spent is None else self.spent()


def trial_of(request: LoadRequest, order: Sequence[str], plan: LoadPlan) -> Trial:
    length = plan.figures.get("length_mm")
    return Trial(
        order=tuple(order),
        moves=sum(step.do == "move" for step in plan.steps),
        loaded=len(plan.placements),
        length_mm=length if isinstance(length, int) else _length_mm(plan),
        floor_peak_mm2=timeline(request, plan).peak.floor_mm2,
        plan=plan,
        missing=_missing(request, plan),
    )


def _missing(request: LoadRequest, plan: LoadPlan) -> float:
    placed = {place.tag for place in plan.placements}
    volumes = {i.tag: math.prod(request.as_loaded_mm(i)) for i in request.items if i.leaves}
    left_off = sum(volume for tag, volume in volumes.items() if tag not in placed)
    return left_off / max(1, sum(volumes.values()))


def _length_mm(plan: LoadPlan) -> int:
    return max((place.at_mm[0] + place.size_mm[0] for place in plan.placements), default=0)


def _only(trial: Trial) -> OrderTrade:
    return OrderTrade(trial, trial, (trial,))
