"""What a plan sets aside, beside what the lanes ask for."""

from dataclasses import replace

from loading.planner.ordering import Shifts, shifts_of, with_fewest_moves, with_returns
from tests.loading.planner.ordering.known import plan_for, three_vaults


def test_what_is_shifted_stands_beside_what_any_order_has_to_shift() -> None:
    request = three_vaults()
    for order, planned, proved in ((("V1", "V2", "V3"), 1, True), (("V1", "V3", "V2"), 2, False)):
        plan = plan_for(replace(request, pull_order=order), 2000)
        shifts = shifts_of(request, plan.steps)
        assert shifts is not None
        assert (shifts.planned, shifts.bound, shifts.proved) == (planned, 1, proved)


def test_vaults_that_go_back_are_not_counted_as_shifted() -> None:
    request = three_vaults(shifted_go_back=True)
    plan = with_returns(request, plan_for(with_fewest_moves(request, seed=1), 2000))
    assert shifts_of(request, plan.steps) == Shifts(1, 1)


def test_where_nothing_is_pulled_nothing_is_told_of_shifts() -> None:
    assert shifts_of(three_vaults(), ()) is None
