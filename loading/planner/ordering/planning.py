"""Planning a load together with the order of its pulls: `plan_load` with a search over orders.

A free order is searched over where orders can differ, else that of the fewest moves is taken; a
forced one is obeyed and its price told.
What has begun, or follows a former plan, goes to `plan_load` as it is: people work by its order.
Of a forced order that has begun only the waiting is told: another vault can hardly come first.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol

from loading.planner.ordering.budget import Budget
from loading.planner.ordering.candidates import with_fewest_moves
from loading.planner.ordering.price import order_price, price_sentence
from loading.planner.ordering.returning import with_returns
from loading.planner.ordering.trade import OrderTrade, search_orders
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from loading.planner.stopping import Stop

PRICE_PART = 0.1  # of the budget, where an order is forced
PRICE_TRIED = 2
# Iterations for each piece before a trial ends: fewer say little of what an order is good for.
TRIAL_ITERATIONS = 4


class SearchProgress(Protocol):
    """How far a search is (`loading.planner.search.SearchProgress`)."""

    @property
    def share(self) -> float: ...
    @property
    def space_use(self) -> float: ...
    @property
    def loaded(self) -> int: ...
    @property
    def pieces(self) -> int: ...


OnProgress = Callable[[SearchProgress], None]


class PlanLoad(Protocol):
    """`loading.planner.search.plan_load`, or whatever plans in its place."""

    def __call__(
        self,
        request: LoadRequest,
        *,
        seed: int,
        stop: Stop,
        workers: int,
        former: LoadPlan | None,
        improve: bool,
        on_progress: OnProgress | None,
        cancelled: Callable[[], bool] | None,
    ) -> LoadPlan: ...


@dataclass(frozen=True, slots=True)
class BestSoFar:
    """The progress of the whole search: its figures never fall when another order is tried."""

    share: float
    space_use: float
    loaded: int
    pieces: int


def plan_with_orders(
    plan_load: PlanLoad,
    request: LoadRequest,
    *,
    seed: int,
    stop: Stop,
    workers: int = 1,
    former: LoadPlan | None = None,
    improve: bool = False,
    on_progress: OnProgress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> LoadPlan:
    """As `plan_load`, within the same budget and as repeatable; see the module's text.

    Where the request says that shifted vaults go back, the plan ends with that.
    """
    planning = _Planning(plan_load, seed, Budget(stop), workers, on_progress, cancelled)
    if request.pull_order is not None:
        plan = planning.forced(request, former, improve=improve)
    elif former is not None or request.progress is not None:
        plan = planning.as_begun(request, former, stop, improve=improve)
    elif _order_matters(request):
        plan = planning.best_order(request).best.plan
    else:
        plan = planning(with_fewest_moves(request, seed=seed), 1.0)
    return with_returns(request, plan)


def _order_matters(request: LoadRequest) -> bool:
    """Not where the dock has a spot for every vault: then all can stand open from the start."""
    leaving = {item.tag for item in request.items if item.leaves}
    wanted = sum(any(tag in leaving for tag in vault.items) for vault in request.vaults)
    return wanted > request.dock.vault_spots


class _Planning:
    """One budget, spent on one plan after another. Once called off, no search does more than it
    must, and the best plan so far stands."""

    def __init__(
        self,
        plan_load: PlanLoad,
        seed: int,
        budget: Budget,
        workers: int,
        on_progress: OnProgress | None,
        cancelled: Callable[[], bool] | None,
    ) -> None:
        self._plan_load, self._seed, self._budget = plan_load, seed, budget
        self._workers, self._cancelled = workers, cancelled
        self._on_progress = on_progress
        self._best: tuple[int, float] = (0, 0.0)
        self._begun = False

    def __call__(
        self,
        request: LoadRequest,
        part: float,
        *,
        at_least: int = 0,
        or_all: bool = False,
        former: LoadPlan | None = None,
        improve: bool = False,
    ) -> LoadPlan:
        """An order that is planned again has the same dice: it goes on where its trial ended."""
        return self._plan_load(
            request,
            seed=self._seed,
            stop=self._budget.part(part, at_least=at_least, or_all=or_all),
            workers=self._workers,
            former=former,
            improve=improve,
            on_progress=None if self._on_progress is None else self._report,
            cancelled=self._cancelled,
        )

    def as_begun(
        self, request: LoadRequest, former: LoadPlan | None, stop: Stop, *, improve: bool
    ) -> LoadPlan:
        """What people have begun to work by keeps its order."""
        return self._plan_load(
            request,
            seed=self._seed,
            stop=stop,
            workers=self._workers,
            former=former,
            improve=improve,
            on_progress=self._on_progress,
            cancelled=self._cancelled,
        )

    def best_order(self, request: LoadRequest) -> OrderTrade:
        enough = TRIAL_ITERATIONS * sum(item.leaves for item in request.items)

        def trial(asked: LoadRequest, part: float) -> LoadPlan:
            first, self._begun = not self._begun, True
            return self(asked, part, at_least=enough, or_all=first)

        return search_orders(request, trial, seed=self._seed, spent=self._spent)

    def forced(self, request: LoadRequest, former: LoadPlan | None, *, improve: bool) -> LoadPlan:
        """Obey the order; what it costs is among the warnings."""
        begun = request.progress is not None
        plan = self(request, 1.0 if begun else 1.0 - PRICE_PART, former=former, improve=improve)
        price = order_price(
            request,
            plan,
            lambda other, share: self(other, share * PRICE_PART),
            most=0 if begun or self._spent() >= 1.0 else PRICE_TRIED,
        )
        sentence = price_sentence(price)
        return replace(plan, warnings=(*plan.warnings, sentence)) if sentence else plan

    def _spent(self) -> float:
        """All of it once the search is called off: then nothing more is tried."""
        if self._budget.is_over() or (self._cancelled is not None and self._cancelled()):
            return 1.0
        return self._budget.spent()

    def _report(self, progress: SearchProgress) -> None:
        assert self._on_progress is not None  # given to a search only then
        self._best = max(self._best, (progress.loaded, progress.space_use))
        loaded, space_use = self._best
        self._on_progress(BestSoFar(progress.share, space_use, loaded, progress.pieces))
