"""A vault that keeps pieces goes back where it is in nobody's way."""

from loading.planner.plan import Step
from loading.planner.pulls import lane_to_store
from tests.loading.planner.pulls.yards import yard

PULL = Step("pull", vault="V2")


def test_it_goes_home_if_it_can() -> None:
    lanes = yard(("A", 2, 1, "X1"), ("B", 3, 1, ""))
    assert lane_to_store(lanes, "V1", [], home="A") == "A"


def test_it_does_not_go_before_a_vault_that_is_still_to_be_pulled() -> None:
    lanes = yard(("A", 2, 1, "V2"), ("B", 1, 1, ""))
    assert lane_to_store(lanes, "V1", [PULL], home="A") == "B"


def test_it_does_not_take_the_room_that_a_move_counts_on() -> None:
    lanes = yard(("A", 2, 1, "V2 X1"), ("B", 1, 1, ""), ("C", 1, 1, ""))
    to_come = [Step("move", vault="X1", lane="B"), PULL]
    assert lane_to_store(lanes, "V1", to_come, home="B") == "C"


def test_a_slot_that_was_skipped_is_no_room() -> None:
    """Lane A has four slots and two vaults, but the last slot is taken."""
    lanes = yard(("A", 2, 2, "X1 . . X2"), ("B", 1, 1, ""))
    assert lane_to_store(lanes, "V1", [], home="A") == "B"


def test_the_emptiest_of_other_lanes_is_taken() -> None:
    lanes = yard(("A", 1, 1, "X1"), ("B", 2, 1, "X2"), ("C", 2, 1, ""))
    assert lane_to_store(lanes, "V1", [], home="A") == "C"


def test_no_lane_is_named_where_all_would_bar() -> None:
    lanes = yard(("A", 2, 1, "V2"), ("B", 1, 1, "X1"))
    assert lane_to_store(lanes, "V1", [PULL]) is None


def test_what_cannot_be_done_anyway_bars_no_lane() -> None:
    lanes = yard(("A", 2, 1, "X1"), ("B", 3, 1, "V2 X2"))
    assert lane_to_store(lanes, "V1", [PULL], home="A") == "A"
