"""Shifted vaults go back where the request says so, and the checker agrees."""

from dataclasses import replace

from loading.planner.checker import check_plan
from loading.planner.ordering import plan_with_orders, with_fewest_moves, with_returns
from loading.planner.plan import LoadPlan, Step
from loading.planner.pulls import yard_of
from loading.planner.request import LoadRequest, parse_request, request_document
from loading.planner.request.data import Progress
from loading.planner.stopping import Iterations
from tests.loading.planner.ordering.known import plan_for, three_vaults
from tests.loading.planner.ordering.test_planning import KnownSearch


def planned(request: LoadRequest) -> LoadPlan:
    return plan_for(with_fewest_moves(request, seed=1), 2000)


def moves(plan: LoadPlan) -> list[tuple[str | None, str | None]]:
    return [(step.vault, step.lane) for step in plan.steps if step.do == "move"]


def test_a_strangers_vault_goes_back_after_the_last_pull() -> None:
    request = three_vaults(shifted_go_back=True)
    plan = with_returns(request, planned(request))
    assert moves(plan)[-1] == ("X1", "B")
    pulls = [n for n, step in enumerate(plan.steps) if step.do == "pull"]
    back = plan.steps.index(Step("move", vault="X1", lane="B"))
    assert back == pulls[-1] + 1
    lane = yard_of(request).after(plan.steps).lane("B")
    assert lane is not None
    assert [vault.code for vault in lane.vaults] == ["X1"]


def test_the_figures_count_it() -> None:
    request = three_vaults(shifted_go_back=True)
    before = planned(request)
    plan = with_returns(request, before)
    assert plan.figures["moves"] == len(moves(before)) + 1
    rules = {found.rule for found in check_plan(request, plan).broken}
    assert rules == {found.rule for found in check_plan(request, before).broken}


def test_who_does_not_ask_for_it_keeps_the_plan() -> None:
    request = three_vaults()
    plan = planned(request)
    assert with_returns(request, plan) == plan


def test_the_wish_is_part_of_the_request() -> None:
    request = three_vaults(shifted_go_back=True, after_loads=["L-1", "L-2"])
    assert request.shifted_go_back
    assert request.after_loads == ("L-1", "L-2")
    assert parse_request(request_document(request)) == request
    assert "shifted_go_back" not in request_document(three_vaults())


def test_every_plan_ends_with_it_also_one_of_what_is_left() -> None:
    open_order = three_vaults(shifted_go_back=True)
    order = with_fewest_moves(open_order, seed=1).pull_order or ()
    forced = three_vaults(shifted_go_back=True, pull_order=list(order))
    begun = replace(open_order, progress=Progress((), (), ()))
    for request in (open_order, forced, begun):
        plan = plan_with_orders(KnownSearch({}), request, seed=1, stop=Iterations(300))
        assert moves(plan)[-1] == ("X1", "B")
