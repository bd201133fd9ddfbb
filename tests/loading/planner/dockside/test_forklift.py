"""One forklift for several docks, against every order of a few calls."""

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loading.planner.dockside import (
    Call,
    Pace,
    calls_of,
    evening_before,
    inbound_call,
    serve,
    without,
)
from tests.loading.planner.dockside.docks import begun, plan_of, request_of


def call(
    name: str,
    takes_s: int,
    due_s: int,
    *,
    ready_s: int = 0,
    after: tuple[str, ...] = (),
    early: bool = False,
    dock: str = "north",
) -> Call:
    return Call(name, dock, "pull", f"V{name}", takes_s, ready_s, due_s, after, early)


def order_of(*calls: Call) -> list[str]:
    return [one.call.name for one in serve(calls).served]


def test_what_is_due_first_is_served_first() -> None:
    shift = serve([call("b", 10, 30), call("a", 10, 20), call("c", 10, 15)])
    assert [(one.call.name, one.begins_s) for one in shift.served] == [
        *(("c", 0), ("a", 10), ("b", 20)),
    ]
    assert (shift.latest_s, shift.waiting_s, shift.proved) == (0, 0, True)


def test_a_move_is_as_urgent_as_the_pull_that_waits_for_it() -> None:
    assert order_of(call("a", 10, 25), call("b", 10, 20, after=("c",)), call("c", 10, 99)) == [
        *("c", "b", "a"),
    ]


def test_two_docks_that_want_the_same_time_wait_once() -> None:
    shift = serve([call("a", 10, 10), call("b", 10, 10, dock="south")])
    assert (shift.latest_s, shift.bound_s, shift.proved) == (10, 10, True)


def test_the_forklift_does_not_stand_idle_while_one_could_be_served() -> None:
    shift = serve([call("a", 10, 99), call("b", 5, 30, ready_s=20)])
    assert [one.begins_s for one in shift.served] == [0, 20]


@pytest.mark.parametrize("after", ["a", "z"])
def test_a_call_that_can_never_be_served(after: str) -> None:
    with pytest.raises(ValueError, match="a can never be served"):
        serve([call("a", 10, 10, after=(after,))])


def test_two_calls_of_one_name() -> None:
    with pytest.raises(ValueError, match="same name"):
        serve([call("a", 10, 10), call("a", 10, 10)])


class TestEvening:
    DAY = (
        call("a", 10, 10, early=True),
        call("b", 10, 10, early=True, dock="south"),
        call("c", 10, 20, dock="south"),
    )

    def test_what_is_due_first_is_pulled_and_the_rest_is_in_time(self) -> None:
        evening = evening_before(self.DAY, evening_s=10, spots={"north": 1, "south": 1})
        assert [one.name for one in evening.calls] == ["a"]
        assert (evening.shift.waiting_s, evening.saved_s) == (0, 20)

    def test_no_spot_no_pull(self) -> None:
        evening = evening_before(self.DAY, evening_s=99, spots={"south": 1})
        assert [one.name for one in evening.calls] == ["b"]

    def test_no_time_no_pull(self) -> None:
        evening = evening_before(self.DAY, evening_s=9, spots={"north": 1, "south": 1})
        assert (evening.calls, evening.saved_s) == ((), 0)

    def test_what_saves_nothing_stays_undone(self) -> None:
        evening = evening_before([call("a", 10, 10, early=True)], evening_s=99, spots={"north": 1})
        assert evening.calls == ()

    def test_a_pull_goes_with_the_move_before_it_or_not_at_all(self) -> None:
        move = Call("m", "north", "move", "X1", 10, 0, 5, early=True)
        day = (move, call("a", 10, 15, after=("m",), early=True))
        short = evening_before(day, evening_s=19, spots={"north": 1})
        assert short.calls == ()
        enough = evening_before(day, evening_s=20, spots={"north": 1})
        assert [one.name for one in enough.calls] == ["m", "a"]


class TestCallsOfAPlan:
    PACE = Pace({"move": 10, "pull": 10, "clear": 10, "unpack": 5, "load": 20})
    PLAN = plan_of(
        *("move V2 B", "pull V1", "unpack 1", "load 1", "clear V1"),
        *("pull V2", "unpack 2", "load 2", "clear V2"),
    )

    def test_a_call_is_due_when_its_dock_needs_it(self) -> None:
        request = request_of({"V1": "1", "V2": "2"})
        calls = calls_of(request, self.PLAN, load="L", dock="north", begins_s=100, pace=self.PACE)
        told = [(one.name, one.does, one.ready_s, one.due_s, one.early) for one in calls]
        assert told == [
            ("L:1", "move", 0, 110, True),
            ("L:2", "pull", 0, 120, True),
            ("L:5", "clear", 125, 135, False),
            ("L:6", "pull", 135, 145, False),
            ("L:9", "clear", 150, 160, False),
        ]
        assert [one.after for one in calls] == [(), ("L:1",), (), ("L:2",), ()]

    def test_what_is_done_or_in_hand_is_due_at_once(self) -> None:
        request = begun(request_of({"V1": "1", "V2": "2"}), "move V2 B", "pull V1")
        calls = calls_of(request, self.PLAN, load="L", dock="north", begins_s=100, pace=self.PACE)
        told = [(one.name, one.does, one.due_s) for one in calls[:3]]
        assert told == [("L:1", "move", 110), ("L:2", "pull", 120), ("L:5", "clear", 115)]


def test_an_inbound_vault_waits_while_a_dock_is_in_need() -> None:
    """Both could begin at once; the delivery can wait a quarter of an hour, the dock cannot."""
    inbound = inbound_call("in", "N1", 0, pace=Pace({"store": 10}))
    assert (inbound.takes_s, inbound.ready_s, inbound.due_s) == (10, 0, 910)
    assert order_of(inbound, call("a", 10, 10)) == ["a", "in"]


def test_an_inbound_vault_is_not_served_before_it_is_there() -> None:
    inbound = inbound_call("in", "N1", 50, pace=Pace({"store": 10}))
    shift = serve([inbound, call("a", 10, 2000, ready_s=40)])
    assert [(one.call.name, one.begins_s) for one in shift.served] == [("a", 40), ("in", 50)]


def test_nothing_waits_for_a_call_that_is_gone() -> None:
    left = without([call("a", 1, 1), call("b", 1, 1, after=("a",))], {"a"})
    assert [(one.name, one.after) for one in left] == [("b", ())]


@st.composite
def some_calls(draw: st.DrawFn) -> list[Call]:
    calls: list[Call] = []
    for n in range(draw(st.integers(1, 5))):
        after = draw(st.sets(st.sampled_from([c.name for c in calls]), max_size=2)) if calls else ()
        times = draw(st.tuples(st.integers(1, 9), st.integers(0, 30), st.integers(0, 15)))
        takes_s, due_s, ready_s = times
        calls.append(call(str(n), takes_s, due_s, ready_s=ready_s, after=tuple(sorted(after))))
    return calls


def late_in(order: tuple[Call, ...]) -> int | None:
    """The largest delay of an order, None if a call comes before one that it waits for."""
    now, late, done = 0, 0, set[str]()
    for one in order:
        if not done.issuperset(one.after):
            return None
        now = max(now, one.ready_s) + one.takes_s
        late = max(late, now - one.due_s)
        done.add(one.name)
    return late


@given(some_calls())
def test_no_order_beats_the_bound_and_a_proof_is_one(calls: list[Call]) -> None:
    shift = serve(calls)
    least = min(late for order in permutations(calls) if (late := late_in(order)) is not None)
    assert shift.bound_s <= least <= shift.latest_s


@given(some_calls())
def test_every_call_is_served_once_and_after_what_it_waits_for(calls: list[Call]) -> None:
    shift = serve(calls)
    assert late_in(tuple(one.call for one in shift.served)) == shift.latest_s
    assert sorted(one.call.name for one in shift.served) == sorted(one.name for one in calls)
    for first, then in zip(shift.served, shift.served[1:], strict=False):
        assert first.ends_s <= then.begins_s
