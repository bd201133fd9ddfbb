"""What another order of the pulls or a larger dock would give, told beside a plan that stands.

Every alternative is planned with the budget that the plan had, so that a difference comes from the
order or the dock; no alternative is told that a search of that length did not really find.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from loading.planner.dockside import DockTrial, dock_trials
from loading.planner.ordering.candidates import candidates
from loading.planner.ordering.price import OrderPrice, order_price
from loading.planner.ordering.trade import OrderTrade, Trial, trial_of
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest

ORDERS_TRIED = 5


@dataclass(frozen=True, slots=True)
class Study:
    """`now` is the plan that stands; `others` are orders of few moves, each with its own plan.

    `price` is what a forced order costs, None where the order is open.
    """

    now: Trial
    others: tuple[Trial, ...]
    price: OrderPrice | None
    docks: tuple[DockTrial, ...]

    @property
    def front(self) -> tuple[Trial, ...]:
        """The trade: what no other order beats in pieces, length, moves and floor at once."""
        return OrderTrade(self.now, self.now, (self.now, *self.others)).front


def study_of(
    request: LoadRequest, plan: LoadPlan, planned: Callable[[LoadRequest], LoadPlan], *, seed: int
) -> Study:
    """Try other orders, then more floor and another spot; for a forced order, its price too."""
    now = trial_of(request, _pulled(plan), plan)
    price = None
    if request.pull_order is not None:
        price = order_price(request, plan, lambda other, _: planned(other), most=2)
    return Study(
        now, _others(request, now, planned, seed), price, dock_trials(request, plan, planned)
    )


def _others(
    request: LoadRequest, now: Trial, planned: Callable[[LoadRequest], LoadPlan], seed: int
) -> tuple[Trial, ...]:
    """Orders that the lanes allow at few moves, as if the warehouse insisted on none."""
    request = replace(request, pull_order=None)
    found = candidates(request, seed=seed, limit=ORDERS_TRIED + 1)
    orders = [order for order in found.orders if (*found.pulled, *order.codes) != now.order]
    return tuple(
        trial_of(request, order.codes, planned(found.request_for(request, order)))
        for order in orders[:ORDERS_TRIED]
    )


def _pulled(plan: LoadPlan) -> tuple[str, ...]:
    pulls = (step.vault for step in plan.steps if step.do == "pull" and step.vault is not None)
    return tuple(dict.fromkeys(pulls))
