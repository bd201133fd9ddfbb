"""A search over pull orders around a search for loads: space use against moves against floor.

Each order is tried with a small part of the budget, then some beside the best. What is left, most
of the budget, goes in one piece to the best order if it is clearly better than the order with the
fewest moves, else to that one: where orders do not matter, little is lost by asking.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from loading.planner.dockside import timeline
from loading.planner.dockside.advice import CHANCE
from loading.planner.ordering.candidates import MOVES_MORE, Candidates, candidates, neighbours
from loading.planner.plan import LoadPlan
from loading.planner.pulls import PullOrder
from loading.planner.request import LoadRequest

# Plans a request with a part of the whole budget, from 0 to 1.
Planned = Callable[[LoadRequest, float], LoadPlan]

FIRST_TRIED = 6
TRIAL_PART = 0.03  # of the budget for each order that is tried
TRIALS_MOST = 0.15  # of the budget for all tries together
IN_VAIN = 3  # so many orders tried without a gain are enough
BESIDE_TRIED = 2  # orders beside the best, the second only after a gain
CLEARLY = 1.0 - CHANCE  # of the length with the fewest moves
SLACK = 1e-6


@dataclass(frozen=True, slots=True)
class Trial:
    """A pull order and the best plan found with it; lengths in mm, areas in mm2."""

    order: tuple[str, ...]
    moves: int
    loaded: int
    length_mm: int
    floor_peak_mm2: int
    plan: LoadPlan

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
        base = self.found.orders[0]
        self.plan(base, TRIAL_PART)
        for tried, order in enumerate(self.found.orders[1:]):
            if self._has_room() and (tried < IN_VAIN or self._gains()):
                self.plan(order, TRIAL_PART)
        for tried in range(BESIDE_TRIED):
            beside = self._beside(base.moves + moves_more)
            if beside is not None and self._has_room() and (tried == 0 or self._gains()):
                self.plan(beside, TRIAL_PART)
        if self._used() < 1.0:
            chosen = self._best().order if self._gains() else base.codes
            self.plan(self.orders[chosen], 1.0 - self._used())
        return OrderTrade(self._best(), self.trials[base.codes], tuple(self.trials.values()))

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

    def _gains(self) -> bool:
        """Whether the best order is clearly better than that of the fewest moves."""
        fewest, best = self.trials[self.found.orders[0].codes], self._best()
        shorter = best.length_mm <= CLEARLY * fewest.length_mm
        return (best.loaded, shorter) > (fewest.loaded, False)

    def _beside(self, most_moves: int) -> PullOrder | None:
        """The untried order with the fewest moves beside the best."""
        order = self.orders[self._best().order]
        beside = neighbours(self.request, order, most=most_moves)
        untried = (one for one in beside if one.codes not in self.trials)
        return min(untried, key=lambda one: one.moves, default=None)

    def _has_room(self) -> bool:
        """Whether another trial, as long as the ones before it, leaves most of the budget."""
        used = self._used()
        return used + used / len(self.trials) <= TRIALS_MOST + SLACK

    def _best(self) -> Trial:
        return min(self.trials.values(), key=lambda trial: trial.key)

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
    )


def _length_mm(plan: LoadPlan) -> int:
    return max((place.at_mm[0] + place.size_mm[0] for place in plan.placements), default=0)


def _only(trial: Trial) -> OrderTrade:
    return OrderTrade(trial, trial, (trial,))
