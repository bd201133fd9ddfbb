"""What may be done next."""

from dataclasses import dataclass

from jobs.scheduling import task_states


@dataclass(frozen=True)
class Work:
    key: str
    needs: tuple[str, ...] = ()


CHAIN = (Work("a"), Work("b", ("a",)), Work("c", ("b",)))


def test_a_task_is_ready_when_its_needs_are_done() -> None:
    assert task_states(CHAIN, done={"a"}) == {"a": "done", "b": "ready", "c": "waiting"}


def test_what_was_seen_done_is_done_whatever_came_before() -> None:
    assert task_states(CHAIN, done={"b"}) == {"a": "ready", "b": "done", "c": "ready"}


def test_a_dropped_task_holds_nobody_up_but_lets_nobody_pass() -> None:
    assert task_states(CHAIN, done=(), dropped={"b"})["c"] == "waiting"
    assert task_states(CHAIN, done={"a"}, dropped={"b"}) == {
        "a": "done",
        "b": "withdrawn",
        "c": "ready",
    }


def test_begun_work_is_begun() -> None:
    assert task_states(CHAIN, done={"a"}, begun={"b"})["b"] == "begun"


def test_needs_outside_the_list_are_met() -> None:
    assert task_states([Work("b", ("gone",))], done=()) == {"b": "ready"}


def test_a_waived_need_is_met_for_that_task_alone() -> None:
    two = (Work("a"), Work("b", ("a",)), Work("c", ("a",)))
    states = task_states(two, done=(), waived={"b": {"a"}})
    assert (states["b"], states["c"]) == ("ready", "waiting")
