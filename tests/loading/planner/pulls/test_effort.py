import pytest
from hypothesis import given, settings

from loading.planner.pulls import (
    Effort,
    Yard,
    YardBlocked,
    YardError,
    effort,
    nearer,
    retrieve_groups,
)
from tests.loading.planner.pulls.test_retrieval import assert_can_be_done, small_yards
from tests.loading.planner.pulls.yards import yard

ROW = yard(("A", 1, 2, "X1"), ("B", 1, 2, "V1 X2"), ("C", 1, 2, ""), ("D", 1, 3, "X3 X4"))


def test_effort_counts_lanes_passed_and_levels_lifted() -> None:
    # X2 comes down from level 2 and goes up to level 3, two lanes on; V1 stands on the floor.
    assert effort(ROW, (("move", "X2", "D"), ("pull", "V1"))) == Effort(travel=2, lifts=3)


@pytest.mark.parametrize(
    "steps",
    [
        (("pull", "V1"),),
        (("pull", "V9"),),
        (("move", "X2", "B"),),
        (("move", "X2", "A"), ("move", "X4", "A")),
    ],
)
def test_steps_that_cannot_be_done_are_refused(steps: tuple[tuple[str, ...], ...]) -> None:
    with pytest.raises(YardError):
        effort(ROW, steps)  # type: ignore[arg-type]


def test_a_vault_is_set_aside_next_door_on_the_floor() -> None:
    far = retrieve_groups(ROW, [("V1",)])
    near = nearer(ROW, far)
    assert near.steps == (("move", "X2", "C"), ("pull", "V1"))
    assert (near.moves, near.bound) == (far.moves, far.bound)


@given(start=small_yards())
@settings(max_examples=60, deadline=None)
def test_nearer_keeps_pulls_and_moves(start: Yard) -> None:
    try:
        plan = retrieve_groups(start, [start.own])
    except YardBlocked:
        return
    near = nearer(start, plan)
    assert_can_be_done(start, near)
    assert (near.order, near.moves) == (plan.order, plan.moves)
    assert effort(start, near.steps) <= effort(start, plan.steps)
