"""Who gets which of the ready tasks."""

from dataclasses import dataclass

from hypothesis import given
from hypothesis import strategies as st

from jobs.scheduling import Person, TaskKind, TaskState, floor_tasks, hand_out, task_states
from loading.planner.plan import parse_plan
from loading.planner.request import parse_request
from tests.jobs.scenario import PLAN, REQUEST

TASKS = floor_tasks(parse_request(REQUEST), parse_plan(PLAN))


@dataclass(frozen=True)
class Work:
    key: str
    kind: TaskKind
    people: int = 1


LOADER = Person("l", "loader")
PAT = Person("h1", "helper")
SAM = Person("h2", "helper")
LEE = Person("w", "warehouse")


def test_each_part_gets_its_own_work() -> None:
    ready = [Work("p", TaskKind.PULL), Work("u", TaskKind.UNPACK), Work("f", TaskKind.FILL)]
    assert hand_out(ready, [LOADER, PAT, LEE]).given == (
        ("p", ("w",)),
        ("u", ("h1",)),
        ("f", ("l",)),
    )


def test_the_first_ready_task_goes_first() -> None:
    ready = [Work("a", TaskKind.CARRY), Work("b", TaskKind.CARRY)]
    assert hand_out(ready, [LOADER, PAT]).given == (("a", ("h1",)),)


def test_two_helpers_carry_what_one_cannot() -> None:
    assert hand_out([Work("a", TaskKind.CARRY, 2)], [LOADER, PAT, SAM]).given == (
        ("a", ("h1", "h2")),
    )


def test_the_loader_is_helped_by_a_helper() -> None:
    crew = [Person("l2", "loader"), LOADER, PAT]
    assert hand_out([Work("a", TaskKind.LOAD, 2)], crew).given == (("a", ("l", "h1")),)


def test_a_free_helper_waits_for_the_second_rather_than_begin_later_work() -> None:
    crew = [LOADER, PAT, Person("h2", "helper", busy=True)]
    ready = [Work("a", TaskKind.CARRY, 2), Work("b", TaskKind.CARRY)]
    assert hand_out(ready, crew).given == ()


def test_others_go_on_while_two_wait_for_each_other() -> None:
    crew = [LEE, PAT, Person("h2", "helper", busy=True)]
    ready = [Work("a", TaskKind.CARRY, 2), Work("b", TaskKind.PULL)]
    assert hand_out(ready, crew).given == (("b", ("w",)),)


def test_a_small_crew_does_everything() -> None:
    ready = [Work("a", TaskKind.PULL), Work("b", TaskKind.LOAD)]
    assert hand_out(ready, [PAT, SAM]).given == (("a", ("h1",)), ("b", ("h2",)))


def test_a_crew_of_one_is_told_what_it_cannot_do() -> None:
    ready = [Work("a", TaskKind.CARRY, 2), Work("b", TaskKind.CARRY)]
    handout = hand_out(ready, [PAT])
    assert handout.crew_too_small == ("a",)
    assert handout.given == (("b", ("h1",)),)


def test_nobody_on_the_floor_gets_nothing() -> None:
    handout = hand_out([Work("a", TaskKind.CARRY)], [])
    assert handout.given == ()
    assert handout.crew_too_small == ("a",)


crews = st.lists(st.sampled_from(["loader", "warehouse", "helper"]), min_size=2, max_size=6)


@given(parts=crews, data=st.data())
def test_a_crew_of_two_or_more_always_ends_with_everything_done(
    parts: list[str], data: st.DataObject
) -> None:
    """Whoever finishes first: nobody has two tasks at once, and no one waits for ever."""
    people = {task.key: task.people for task in TASKS}
    done: set[str] = set()
    hands: dict[str, tuple[str, ...]] = {}
    while len(done) < len(TASKS):
        states = task_states(TASKS, done=done)
        ready = [t for t in TASKS if states[t.key] is TaskState.READY and t.key not in hands]
        busy = {person for team in hands.values() for person in team}
        crew = [Person(f"{n}", part, f"{n}" in busy) for n, part in enumerate(parts)]
        handout = hand_out(ready, crew)
        assert handout == hand_out(ready, crew)
        assert not handout.crew_too_small
        for key, team in handout.given:
            assert len(set(team)) == people[key]
            assert not busy & set(team)
            busy |= set(team)
            hands[key] = team
        finished = data.draw(st.sampled_from(sorted(hands)))
        del hands[finished]
        done.add(finished)
