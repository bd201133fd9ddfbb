"""Two loads out of the same lanes: ordered so that neither bars the other."""

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loading.planner.plan import Step
from loading.planner.pulls import (
    Clash,
    Retrieval,
    SharedDay,
    SharedLane,
    Wanted,
    Yard,
    YardBlocked,
    YardError,
    clashes,
    retrieve_groups,
    shared_day,
)
from tests.loading.planner.pulls.yards import yard

# In lane A the vault of P stands before that of Q; in lane B a stranger stands before Q's other.
TWO = yard(("A", 2, 1, "VQ1 VP1"), ("B", 2, 1, "VQ2 X1"), ("C", 2, 1, "X2"))
P, Q = Wanted("P", (("VP1",),)), Wanted("Q", (("VQ1", "VQ2"),))


def codes_of(day: SharedDay) -> list[tuple[str, ...]]:
    return [share.retrieval.order for share in day.shares]


def test_the_load_whose_vault_stands_before_goes_first() -> None:
    day = shared_day(TWO, [Q, P])
    assert day.order == ("P", "Q")
    assert codes_of(day) == [("VP1",), ("VQ1", "VQ2")]
    assert (day.moves, day.bound, day.least_known) == (1, 1, True)


def test_a_load_that_must_wait_costs_a_move() -> None:
    day = shared_day(TWO, [Q, P], before=[("Q", "P")])
    assert (day.order, day.moves) == (("Q", "P"), 2)


def test_lanes_that_both_need_are_named() -> None:
    assert shared_day(TWO, [Q, P]).lanes == (SharedLane("A", ("P", "Q")),)


def test_each_load_finds_the_yard_that_the_one_before_left() -> None:
    first, second = shared_day(TWO, [Q, P]).shares
    assert first.yard.lane_of("VP1") is not None
    assert second.yard.lane_of("VP1") is None
    assert second.yard.own == ("VQ1", "VQ2")


def test_what_is_set_aside_for_one_is_not_put_before_anothers() -> None:
    """X1 stands before P's vault; the nearest free place is before Q's, which leaves later."""
    lanes = yard(("A", 2, 1, "VP1 X1"), ("B", 2, 1, "VQ1"), ("C", 1, 1, ""))
    day = shared_day(lanes, [Wanted("P", (("VP1",),)), Wanted("Q", (("VQ1",),))])
    assert day.moves == 1
    steps = [step for share in day.shares for step in share.retrieval.steps]
    assert ("move", "X1", "B") not in steps[: steps.index(("pull", "VQ1"))]


def test_no_order_gets_all_out() -> None:
    with pytest.raises(YardBlocked, match="1 short"):
        shared_day(yard(("A", 2, 1, "VP1 X1"), ("B", 1, 1, "X2")), [P])


def test_a_vault_that_two_want() -> None:
    with pytest.raises(YardError, match="VP1 is wanted by P and R"):
        shared_day(TWO, [P, Wanted("R", (("VP1",),))])


def test_a_load_named_twice() -> None:
    with pytest.raises(YardError, match="named twice"):
        shared_day(TWO, [P, P])


def test_an_order_of_a_load_that_pulls_nothing() -> None:
    with pytest.raises(YardError, match="P before R"):
        shared_day(TWO, [P], before=[("P", "R")])


def test_loads_that_wait_for_each_other() -> None:
    with pytest.raises(YardError, match="circle"):
        shared_day(TWO, [P, Q], before=[("P", "Q"), ("Q", "P")])


def test_six_loads_are_put_in_one_by_one() -> None:
    """Each stands before the one named earlier: only the reverse order needs no moves."""
    lanes = yard(("A", 6, 1, "VA VB VC VD VE VF"), ("B", 6, 1, ""))
    day = shared_day(lanes, [Wanted(name, ((f"V{name}",),)) for name in "ABCDEF"])
    assert (day.order, day.moves, day.least_known) == (tuple("FEDCBA"), 0, True)


def test_plans_made_apart_clash_where_one_fills_or_bars_what_the_other_counts_on() -> None:
    """Both put a stranger's vault into C, which takes one."""
    lanes = yard(("A", 2, 1, "VP1 X1"), ("B", 2, 1, "VQ1 X2"), ("C", 1, 1, ""), ("D", 1, 1, ""))
    of_p = [Step("move", vault="X1", lane="C"), Step("pull", vault="VP1")]
    of_q = [Step("move", vault="X2", lane="C"), Step("pull", vault="VQ1")]
    assert clashes(lanes, [("P", of_p), ("Q", of_q)]) == (Clash("Q", 1, "X2", "C"),)
    elsewhere = [Step("move", vault="X2", lane="D"), *of_q[1:]]
    assert clashes(lanes, [("P", of_p), ("Q", elsewhere)]) == ()
    assert clashes(lanes, [("P", of_p[1:])]) == (Clash("P", 1, "VP1", None),)


@st.composite
def shared_yards(draw: st.DrawFn) -> tuple[Yard, list[Wanted]]:
    """Three lanes, one of them empty, with vaults of loads P, Q and R and of strangers."""
    lanes, of_load = [], dict[str, list[str]]()
    for name in "AB":
        owners = draw(st.lists(st.sampled_from("PQRX"), max_size=3))
        codes = [f"{'X' if o == 'X' else 'V' + o}{name}{n}" for n, o in enumerate(owners)]
        for owner, code in zip(owners, codes, strict=True):
            if owner != "X":
                of_load.setdefault(owner, []).append(code)
        lanes.append((name, 3, 1, " ".join(codes)))
    wanted = [Wanted(load, (tuple(codes),)) for load, codes in of_load.items()]
    return yard(*lanes, ("C", 2, 2, "")), wanted


@settings(max_examples=50)
@given(shared_yards())
def test_no_order_of_the_loads_needs_fewer_moves(drawn: tuple[Yard, list[Wanted]]) -> None:
    start, wanted = drawn
    day = shared_day(start, wanted)
    for order in permutations(wanted):
        groups = [group for one in order for group in one.groups]
        assert day.moves <= retrieve_groups(start, groups).moves


@settings(max_examples=50)
@given(shared_yards())
def test_the_shares_can_be_done_one_after_another(drawn: tuple[Yard, list[Wanted]]) -> None:
    now, wanted = drawn
    day = shared_day(now, wanted)
    for share in day.shares:
        assert [lane.vaults for lane in share.yard.lanes] == [lane.vaults for lane in now.lanes]
        now = _played(now, share.retrieval)
    assert sum(share.retrieval.moves for share in day.shares) == day.moves
    assert {code for one in wanted for code in one.codes} == {
        code for share in day.shares for code in share.retrieval.order
    }


def _played(now: Yard, retrieval: Retrieval) -> Yard:
    """Every vault must stand in front, and find room."""
    for step in retrieval.steps:
        lane = now.lane_of(step[1])
        assert lane is not None
        assert lane.vaults[-1].code == step[1]
        if step[0] == "move":
            target = now.lane(step[2])
            assert target is not None
            assert target.free
        now = now.after([Step(step[0], vault=step[1], lane=step[2] if step[0] == "move" else None)])
    return now
