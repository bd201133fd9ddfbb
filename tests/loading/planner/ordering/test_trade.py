"""The search over orders, around a planner whose answers are known."""

import pytest

from loading.planner.ordering import search_orders
from tests.loading.planner.ordering.known import KnownPlanner, three_vaults


def test_the_order_that_gives_the_shortest_load_is_found() -> None:
    planner = KnownPlanner({"V2 V3 V1": 1500})
    found = search_orders(three_vaults(), planner, seed=1)
    assert (found.best.order, found.best.length_mm) == (("V2", "V3", "V1"), 1500)


def test_an_order_beside_the_best_that_costs_a_move_more_is_found() -> None:
    """No order with one move begins with V3: it is found by changing places."""
    lengths = {"V2 V1 V3": 1900, "V1 V3 V2": 1000, "V1 V2 V3": 1800}
    found = search_orders(three_vaults(), KnownPlanner(lengths), seed=1)
    assert (found.best.order, found.best.moves) == (("V1", "V3", "V2"), 2)


def test_no_more_moves_than_allowed() -> None:
    planner = KnownPlanner({"V1 V3 V2": 1000})
    found = search_orders(three_vaults(), planner, seed=1, moves_more=0)
    assert {trial.moves for trial in found.trials} == {1}


def test_the_budget_is_shared() -> None:
    planner = KnownPlanner({})
    search_orders(three_vaults(), planner, seed=1)
    assert sum(part for _, part in planner.asked) <= 1.0 + 1e-9
    assert len(planner.asked) > 4


def test_never_worse_than_the_order_chosen_by_moves_alone() -> None:
    found = search_orders(three_vaults(), KnownPlanner({}), seed=1)
    assert found.best.key <= found.fewest_moves.key
    assert found.fewest_moves.moves == min(trial.moves for trial in found.trials)


def test_the_front_is_the_trade_of_length_against_moves() -> None:
    lengths = {"V1 V2 V3": 1800, "V1 V3 V2": 1000}
    found = search_orders(three_vaults(), KnownPlanner(lengths), seed=1)
    assert [(one.moves, one.length_mm) for one in found.front] == [(1, 1800), (2, 1000)]


@pytest.mark.parametrize("order", [["V1", "V2", "V3"], ["V3", "V2", "V1"]])
def test_a_forced_order_is_obeyed(order: list[str]) -> None:
    planner = KnownPlanner({})
    found = search_orders(three_vaults(pull_order=order), planner, seed=1)
    assert planner.asked == [(" ".join(order), 1.0)]
    assert found.best.order == tuple(order)
