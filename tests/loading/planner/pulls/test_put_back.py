from hypothesis import given, settings

from loading.planner.plan import Step
from loading.planner.pulls import (
    Retrieval,
    Yard,
    YardBlocked,
    put_back,
    retrieve,
    retrieve_groups,
    steps_back,
)
from tests.loading.planner.pulls.test_retrieval import assert_can_be_done, small_yards
from tests.loading.planner.pulls.yards import yard


def test_a_vault_set_aside_returns_to_its_lane() -> None:
    start = yard(("A", 1, 3, "X1 V1 X2"), ("B", 1, 1, ""))
    plan = put_back(start, retrieve_groups(start, [("V1",)]))
    assert plan.steps == (("move", "X2", "B"), ("pull", "V1"), ("move", "X2", "A"))
    assert (plan.moves, plan.bound, plan.proved) == (2, 2, True)


def test_a_vault_that_has_come_home_on_the_way_does_not_move_again() -> None:
    """Each stands before the other's target; the only free slot is in the other lane."""
    start = yard(("A", 1, 2, "V1 X1"), ("B", 1, 3, "V2 X2"))
    plan = put_back(start, retrieve(start, ("V1", "V2")))
    assert (plan.moves, plan.bound, plan.proved) == (4, 4, True)


def test_a_vault_that_moves_twice_goes_back_twice_and_that_is_not_proved() -> None:
    start = yard(("A", 1, 2, "V1 X1"), ("B", 1, 1, ""), ("C", 1, 1, ""))
    twice = Retrieval((("move", "X1", "B"), ("move", "X1", "C"), ("pull", "V1")), 2, 1)
    plan = put_back(start, twice)
    assert plan.steps[3:] == (("move", "X1", "B"), ("move", "X1", "A"))
    assert (plan.moves, plan.bound, plan.proved) == (4, 2, False)


def test_where_nothing_was_moved_nothing_goes_back() -> None:
    start = yard(("A", 1, 3, "X1 V1"), ("B", 1, 1, ""))
    plan = retrieve_groups(start, [("V1",)])
    assert put_back(start, plan) == plan


def test_what_has_gone_back_stays_there() -> None:
    start = yard(("A", 1, 3, "X1 V1 X2"), ("B", 1, 1, ""))
    steps = [Step("move", "X2", "B"), Step("pull", "V1")]
    back = steps_back(start, steps)
    assert back == (Step("move", "X2", "A"),)
    assert steps_back(start, [*steps, *back]) == ()


def test_a_vault_under_one_that_was_stored_since_stays_aside() -> None:
    start = yard(("A", 1, 3, "X1 V1 X2"), ("B", 1, 2, ""))
    steps = [Step("move", "X2", "B"), Step("pull", "V1"), Step("store", "V1", "B")]
    assert steps_back(start, steps) == ()


@given(start=small_yards())
@settings(max_examples=60, deadline=None)
def test_each_lane_holds_what_it_held_before_but_the_shipment(start: Yard) -> None:
    try:
        plan = put_back(start, retrieve_groups(start, [start.own]))
    except YardBlocked:
        return
    assert_can_be_done(start, plan)
    assert plan.bound <= plan.moves
    after = start.after(Step(s[0], s[1], s[2] if s[0] == "move" else None) for s in plan.steps)
    assert [[v.code for v in lane.vaults] for lane in after.lanes] == [
        [v.code for v in lane.vaults if v.code not in start.own] for lane in start.lanes
    ]
