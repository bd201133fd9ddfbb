"""A search over pull orders around a search for loads: space use against moves against floor.

Orders are tried with a small part of the budget each, the better half again with more, and so on;
the order with the fewest moves stays in to the end, so that no answer is worse than its.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from loading.planner.dockside import timeline
from loading.planner.ordering.candidates import MOVES_MORE, Candidates, candidates, neighbours
from loading.planner.plan import LoadPlan
from loading.planner.pulls import PullOrder
from loading.planner.request import LoadRequest

# Plans a request with a part of the whole budget, from 0 to 1.
Planned = Callable[[LoadRequest, float], LoadPlan]

FIRST_TRIED = 6
FIRST_PART, LAST_PART = 0.45, 0.3


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
) -> OrderTrade:
    """Search over the pull orders; the parts given to `planned` come to at most 1.

    A request whose pull order is forced, or that leaves no choice, is planned once.
    """
    trials: dict[tuple[str, ...], Trial] = {}
    if request.pull_order is not None:
        return _only(trial_of(request, request.pull_order, planned(request, 1.0)))
    found = candidates(request, seed=seed, limit=first, moves_more=moves_more)
    base = found.orders[0]
    if len(found.orders) == 1:
        return _only(_planned_with(request, found, base, planned, 1.0))
    for order in found.orders:
        part = FIRST_PART / len(found.orders)
        trials[order.codes] = _planned_with(request, found, order, planned, part)
    tried = {order.codes: order for order in found.orders}
    _try_neighbours(request, found, tried, trials, planned, base.moves + moves_more)
    last = _best_two(trials, base.codes)
    for codes in last:
        again = _planned_with(request, found, tried[codes], planned, LAST_PART / len(last))
        trials[codes] = min(trials[codes], again, key=lambda one: one.key)
    best = min(trials.values(), key=lambda one: one.key)
    return OrderTrade(best, trials[base.codes], tuple(trials.values()))


def _try_neighbours(
    request: LoadRequest,
    found: Candidates,
    tried: dict[tuple[str, ...], PullOrder],
    trials: dict[tuple[str, ...], Trial],
    planned: Planned,
    most: int,
) -> None:
    """From the best order so far to the ones beside it, as long as the middle part lasts."""
    part = FIRST_PART / len(found.orders)
    left = 1.0 - FIRST_PART - LAST_PART
    best = min(trials.values(), key=lambda one: one.key)
    waiting = _untried(request, tried, best, most)
    while waiting and left >= part:
        order = waiting.pop(0)
        left -= part
        tried[order.codes] = order
        trial = trials[order.codes] = _planned_with(request, found, order, planned, part)
        if trial.key < best.key:
            best = trial
            waiting = _untried(request, tried, best, most)


def _untried(
    request: LoadRequest, tried: dict[tuple[str, ...], PullOrder], best: Trial, most: int
) -> list[PullOrder]:
    """Those beside the best, the ones with fewest moves first."""
    order = next(order for order in tried.values() if order.codes == best.order)
    beside = [o for o in neighbours(request, order, most=most) if o.codes not in tried]
    return sorted(beside, key=lambda one: one.moves)


def _best_two(trials: dict[tuple[str, ...], Trial], base: tuple[str, ...]) -> list[tuple[str, ...]]:
    """The best order and the one with the fewest moves; the second best if they are the same."""
    ranked = sorted(trials, key=lambda codes: trials[codes].key)
    return [ranked[0], base] if ranked[0] != base else ranked[:2]


def _planned_with(
    request: LoadRequest, found: Candidates, order: PullOrder, planned: Planned, part: float
) -> Trial:
    return trial_of(request, order.codes, planned(found.request_for(request, order), part))


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
