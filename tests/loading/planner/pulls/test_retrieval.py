from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loading.planner.plan import Step
from loading.planner.pulls import (
    Retrieval,
    StandingVault,
    Yard,
    YardBlocked,
    YardError,
    YardLane,
    orders,
    retrieve,
    retrieve_from,
    retrieve_groups,
)
from loading.planner.pulls.stacks import stacks_of
from tests.loading.planner.pulls.brute import fewest_moves
from tests.loading.planner.pulls.yards import yard

SMALL = yard(
    ("A", 2, 2, "V1 X1 V2"),
    ("B", 1, 3, "X2 V3 X3"),
    ("C", 1, 2, "X4"),
    ("D", 1, 1, ""),
)


def assert_can_be_done(start: Yard, plan: Retrieval) -> None:
    """Play the steps on the yard; every vault must stand in front, and find room."""
    now, moves = start, 0
    for step in plan.steps:
        lane = now.lane_of(step[1])
        assert lane is not None
        assert lane.vaults[-1].code == step[1]
        if step[0] == "move":
            target = now.lane(step[2])
            assert target is not None
            assert target.name != lane.name
            assert target.free
            now = now.after([Step("move", vault=step[1], lane=step[2])])
            moves += 1
        else:
            assert step[1] in start.own
            now = now.after([Step("pull", vault=step[1])])
    assert moves == plan.moves


@st.composite
def small_yards(draw: st.DrawFn) -> Yard:
    lanes = []
    for name in "ABC":
        depth, levels = draw(st.integers(1, 2)), draw(st.integers(1, 2))
        slots = sorted(draw(st.sets(st.integers(1, depth * levels), max_size=3)))
        standing = tuple(
            StandingVault(f"{draw(st.sampled_from('VX'))}{name}{slot}", slot) for slot in slots
        )
        lanes.append(YardLane(name, depth, levels, standing))
    own = tuple(v.code for lane in lanes for v in lane.vaults if v.code.startswith("V"))
    return Yard(tuple(lanes), own)


@pytest.mark.parametrize(
    ("order", "moves"),
    [
        (("V2", "V1", "V3"), 2),  # X1 and X3 must move once each
        (("V3", "V2", "V1"), 2),
        (("V1", "V2", "V3"), 3),  # V2 as well
        (("V2",), 0),
        ((), 0),
    ],
)
def test_moves_for_an_order(order: tuple[str, ...], moves: int) -> None:
    plan = retrieve(SMALL, order)
    assert_can_be_done(SMALL, plan)
    assert (plan.order, plan.moves, plan.proved) == (order, moves, True)


@given(start=small_yards(), data=st.data())
@settings(max_examples=100, deadline=None)
def test_any_order_is_obeyed_with_the_fewest_moves(start: Yard, data: st.DataObject) -> None:
    order = data.draw(st.permutations(start.own))
    best = fewest_moves(stacks_of(start, [(code,) for code in order]), restricted=False)
    if best is None:
        with pytest.raises(YardBlocked):
            retrieve(start, order)
        return
    plan = retrieve(start, order)
    assert_can_be_done(start, plan)
    assert (plan.order, plan.moves) == (tuple(order), best)


@given(start=small_yards())
@settings(max_examples=60, deadline=None)
def test_a_free_order_costs_what_the_best_order_costs(start: Yard) -> None:
    costs = [
        fewest_moves(stacks_of(start, [(code,) for code in order]), restricted=False)
        for order in permutations(start.own[:4])
    ]
    best = min((cost for cost in costs if cost is not None), default=None)
    if best is None:
        return
    plan = retrieve_groups(start, [start.own[:4]])
    assert_can_be_done(start, plan)
    assert (sorted(plan.order), plan.moves) == (sorted(start.own[:4]), best)


def test_groups_leave_in_turn() -> None:
    plan = retrieve_groups(SMALL, [("V1",), ("V2", "V3")])
    assert_can_be_done(SMALL, plan)
    assert plan.order[0] == "V1"
    assert plan.moves == 3


def test_planning_resumes_after_what_was_done() -> None:
    done = [Step("pull", vault="V2"), Step("move", vault="X1", lane="C")]
    plan = retrieve_from(SMALL, done, ("V2", "V1", "V3"))
    assert_can_be_done(SMALL.after(done), plan)
    assert (plan.order, plan.moves) == (("V1", "V3"), 1)


def test_a_yard_too_full_names_what_is_short() -> None:
    full = yard(("A", 1, 3, "V1 X1 X2"), ("B", 1, 2, "X3"), ("C", 1, 1, "X4"))
    with pytest.raises(YardBlocked) as caught:
        retrieve(full, ("V1",))
    error = caught.value
    assert (error.code, error.lane, error.in_the_way) == ("V1", "A", ("X1",))
    assert error.free_slots == (("B", 0), ("C", 0))
    assert error.short == 1
    assert "vault V1 in lane A cannot be reached" in str(error)
    assert "1 short" in str(error)
    assert error.aisle_places == 1
    assert "With 1 aisle place more everything wanted comes out" in str(error)


def test_as_many_aisle_places_as_are_needed_are_asked_for() -> None:
    full = yard(("A", 1, 4, "V1 X1 X2 X3"), ("B", 1, 1, "X4"))
    with pytest.raises(YardBlocked) as caught:
        retrieve(full, ("V1",))
    assert (caught.value.short, caught.value.aisle_places) == (3, 3)


def test_more_than_a_few_aisle_places_are_not_promised() -> None:
    with pytest.raises(YardBlocked, match="A few aisle places more would not do") as caught:
        retrieve(yard(("A", 9, 1, "V1 X1 X2 X3 X4 X5 X6 X7 X8")), ("V1",))
    assert (caught.value.short, caught.value.aisle_places) == (8, None)


def test_slots_that_are_empty_but_barred_are_told() -> None:
    full = yard(("A", 1, 2, "V1 X1"), ("B", 2, 2, "X2 . X3 X4"))
    with pytest.raises(YardBlocked, match="barred by what stands before: B 1"):
        retrieve(full, ("V1",))


@pytest.mark.parametrize("order", [("X1",), ("V9",), ("V1", "V1")])
def test_a_bad_order_is_refused(order: tuple[str, ...]) -> None:
    with pytest.raises(YardError):
        retrieve(SMALL, order)


def test_orders_are_different_and_best_first() -> None:
    found = orders(SMALL, seed=1, limit=3)
    assert len({order.codes for order in found}) == len(found) == 3
    assert found[0].moves == 2
    assert [order.moves for order in found] == sorted(order.moves for order in found)
    for order in found:
        assert retrieve(SMALL, order.codes).moves == order.moves


def test_orders_repeat_for_a_seed() -> None:
    assert orders(SMALL, seed=5, limit=3) == orders(SMALL, seed=5, limit=3)


def test_orders_of_a_shipment_that_has_left() -> None:
    gone = replace(SMALL, own=())
    assert [(order.codes, order.moves) for order in orders(gone, seed=1, limit=4)] == [((), 0)]


def test_orders_of_a_blocked_yard_say_why() -> None:
    full = yard(("A", 1, 2, "V1 X1"), ("B", 1, 1, "X3"))
    with pytest.raises(YardBlocked, match="V1"):
        orders(full, seed=1, limit=3)
