"""Who may do the next step in the lanes when several loads need them."""

from loading.planner.plan import Step
from loading.planner.pulls import waits_for
from tests.loading.planner.pulls.yards import yard

# In lane A the vault of P stands before that of Q; lane B is empty; in C a stranger stands alone.
LANES = yard(("A", 2, 1, "VQ VP"), ("B", 2, 1, ""), ("C", 2, 1, "X"))
PULL_P, PULL_Q = Step("pull", vault="VP"), Step("pull", vault="VQ")


def test_what_stands_behind_waits_until_the_other_is_out() -> None:
    left = [("P", [PULL_P]), ("Q", [PULL_Q])]
    assert waits_for(LANES, "Q", PULL_Q, left) == "P"
    assert waits_for(LANES, "P", PULL_P, left) is None
    assert waits_for(LANES.after([PULL_P]), "Q", PULL_Q, [("P", []), ("Q", [PULL_Q])]) is None


def test_nothing_is_put_before_a_vault_that_is_still_to_come() -> None:
    into_a = Step("move", vault="X", lane="A")
    lanes = yard(("A", 2, 1, "VP"), ("B", 2, 1, ""), ("C", 2, 1, "VQ X"))
    left = [("P", [PULL_P]), ("Q", [into_a, PULL_Q])]
    assert waits_for(lanes, "Q", into_a, left) == "P"
    into_b = Step("move", vault="X", lane="B")
    assert waits_for(lanes, "Q", into_b, [("P", [PULL_P]), ("Q", [into_b, PULL_Q])]) is None


def test_lanes_of_its_own_need_no_turn() -> None:
    own = Step("pull", vault="X")
    assert waits_for(LANES, "R", own, [("P", [PULL_P]), ("Q", [PULL_Q]), ("R", [own])]) is None


def test_the_first_load_never_waits_even_where_a_plan_cannot_be_done() -> None:
    left = [("Q", [PULL_Q]), ("P", [PULL_P])]
    assert waits_for(LANES, "Q", PULL_Q, left) is None
