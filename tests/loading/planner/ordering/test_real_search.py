"""The search over orders around the real search for loads: repeatable, and free of broken rules."""

import pytest

from loading.planner.checker import check_plan
from loading.planner.ordering import candidates, plan_with_orders
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from loading.planner.search import plan_load
from loading.planner.stopping import Iterations
from tests.loading.planner.ordering.known import three_vaults


def planned(request: LoadRequest, workers: int = 1) -> LoadPlan:
    return plan_with_orders(plan_load, request, seed=1, stop=Iterations(800), workers=workers)


@pytest.mark.parametrize("workers", [1, 2])
def test_the_same_seed_and_iterations_give_the_same_plan(workers: int) -> None:
    assert planned(three_vaults(), workers) == planned(three_vaults(), workers)


def test_the_plan_breaks_no_rule_and_costs_few_moves() -> None:
    request = three_vaults()
    plan = planned(request)
    report = check_plan(request, plan)
    assert report.broken == ()
    assert (report.figures["loaded"], plan.left_off) == (3, ())
    fewest = candidates(request, seed=1, limit=6).orders[0].moves
    assert report.figures["moves"] <= fewest + 2


def test_a_forced_order_breaks_no_rule() -> None:
    request = three_vaults(pull_order=["V3", "V2", "V1"])
    plan = planned(request)
    assert check_plan(request, plan).broken == ()
    assert [step.vault for step in plan.steps if step.do == "pull"] == ["V3", "V2", "V1"]
