"""What another order of the pulls or a larger dock would give, told beside a plan that stands.

Every alternative is planned with the budget that the plan had, and the plan's own order once more
at this dock: what that finds already is no gain of another order or dock. No alternative is told
that a search of that length did not really find.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from loading.planner.dockside import DockTrial, dock_trials
from loading.planner.ordering.candidates import candidates
from loading.planner.ordering.price import OrderPrice, long_waits, order_price
from loading.planner.ordering.trade import OrderTrade, Trial, trial_of
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest

ORDERS_TRIED = 5


@dataclass(frozen=True, slots=True)
class Study:
    """`now` is the plan that stands; `others` are orders of few moves, each with its own plan.

    Where the plan's own order gives a better one when it is planned again, that is the first.

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
    again = _again(request, now, planned)
    best = again if again.key < now.key else now
    price = None
    if request.pull_order is not None:
        price = order_price(request, best.plan, lambda other, _: planned(other), most=2)
        price = replace(price, waits=long_waits(request, plan))
    others = _others(request, now, planned, seed)
    return Study(
        now,
        others if best is now else (best, *others),
        price,
        dock_trials(request, best.plan, planned),
    )


def _again(request: LoadRequest, now: Trial, planned: Callable[[LoadRequest], LoadPlan]) -> Trial:
    """The order that stands, planned once more at the same dock."""
    held = request
    if request.pull_order is None:
        rest = (vault.code for vault in request.vaults if vault.code not in now.order)
        held = replace(request, pull_order=(*now.order, *rest))
    return trial_of(request, now.order, planned(held))


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
