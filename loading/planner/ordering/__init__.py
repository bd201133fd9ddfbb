"""The order of the pulls chosen for the load as well as for the moves, and what an order costs."""

from loading.planner.ordering.candidates import (
    Candidates,
    by_stop,
    candidates,
    neighbours,
    with_fewest_moves,
)
from loading.planner.ordering.planning import SearchProgress, plan_with_orders
from loading.planner.ordering.price import OrderPrice, order_price, price_sentence
from loading.planner.ordering.returning import with_returns
from loading.planner.ordering.shifts import Shifts, shifts_of
from loading.planner.ordering.study import Study, study_of
from loading.planner.ordering.trade import OrderTrade, Planned, Trial, search_orders

__all__ = [
    "Candidates",
    "OrderPrice",
    "OrderTrade",
    "Planned",
    "SearchProgress",
    "Shifts",
    "Study",
    "Trial",
    "by_stop",
    "candidates",
    "neighbours",
    "order_price",
    "plan_with_orders",
    "price_sentence",
    "search_orders",
    "shifts_of",
    "study_of",
    "with_fewest_moves",
    "with_returns",
]
