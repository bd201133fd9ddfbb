"""The tasks of a plan: what there is to do, in which order, by how many."""

import copy

from hypothesis import given
from hypothesis import strategies as st

from jobs.scheduling import FloorTask, TaskKind, TaskState, floor_tasks, task_states
from loading.planner.checker import check_plan
from loading.planner.plan import parse_plan
from loading.planner.request import parse_request
from tests.jobs.scenario import PLAN, REQUEST

TASKS = floor_tasks(parse_request(REQUEST), parse_plan(PLAN))
BY_KEY = {task.key: task for task in TASKS}


def _first_steps_done(count: int) -> dict[str, object]:
    document = copy.deepcopy(REQUEST)
    document["progress"] = {
        "steps": PLAN["steps"][:count],
        "placements": [
            placed
            for placed in PLAN["placements"]
            if {"do": "load", "tag": placed["tag"]} in PLAN["steps"][:count]
        ],
        "fills": [],
    }
    return document


def test_the_scenario_is_a_plan_without_a_broken_rule() -> None:
    assert check_plan(parse_request(REQUEST), parse_plan(PLAN)).broken == ()


def test_a_wrapped_piece_is_unpacked_wrapped_carried_and_loaded() -> None:
    assert [task.key for task in TASKS if task.tag == "001"] == [
        "unpack:001",
        "wrap:001",
        "carry:001",
        "load:001",
    ]
    assert BY_KEY["wrap:001"].needs == ("unpack:001",)
    assert "wrap:001" in BY_KEY["carry:001"].needs
    assert "carry:001" in BY_KEY["load:001"].needs


def test_a_carton_is_not_wrapped() -> None:
    assert [task.kind for task in TASKS if task.tag == "002"] == ["unpack", "carry", "load"]


def test_a_loose_piece_is_fetched() -> None:
    assert BY_KEY["fetch:007"].vault is None
    assert BY_KEY["carry:007"].needs == ("fetch:007", "load:004")


def test_a_vault_waits_for_the_one_on_top_and_for_a_free_spot() -> None:
    assert BY_KEY["move:X9"].lane == "L2"
    assert BY_KEY["pull:V1"].needs == ("move:X9",)
    assert BY_KEY["pull:V2"].needs == ("clear:V1", "pull:V1")


def test_a_vault_is_cleared_after_its_last_piece() -> None:
    assert set(BY_KEY["clear:V1"].needs) >= {"unpack:001", "unpack:004", "pull:V1"}


def test_pieces_leave_a_vault_in_its_order() -> None:
    assert "unpack:002" in BY_KEY["unpack:003"].needs


def test_a_tier_closes_after_its_pieces_and_fills_and_before_the_next_tier() -> None:
    assert BY_KEY["close:1"].needs == ("load:005",)
    assert BY_KEY["load:006"].needs == ("carry:006", "close:1", "load:005")
    assert BY_KEY["fill:1"].tier == 1
    assert BY_KEY["load:006"].tier == 2


def test_a_piece_waits_for_room_on_the_dock_floor() -> None:
    small = copy.deepcopy(REQUEST)
    # The chest takes 1.3 times 600 by 900 mm, 0.702 m2; the carton half of 1.3 times 600 by 550.
    small["dock"]["floor_m2"] = 0.9
    tasks = {task.key: task for task in floor_tasks(parse_request(small), parse_plan(PLAN))}
    assert "load:001" in tasks["unpack:002"].needs
    assert "load:001" not in BY_KEY["unpack:002"].needs


def test_few_pieces_wait_in_the_truck() -> None:
    tasks = {
        task.key: task
        for task in floor_tasks(parse_request(REQUEST), parse_plan(PLAN), carry_ahead=1)
    }
    assert "load:002" in tasks["carry:003"].needs
    assert "load:002" not in BY_KEY["carry:003"].needs


def test_what_was_done_is_no_task_and_holds_nobody_up() -> None:
    document = _first_steps_done(4)
    tasks = floor_tasks(parse_request(document), parse_plan(PLAN))
    keys = [task.key for task in tasks]
    assert keys[0] == "unpack:002"
    assert not {"move:X9", "pull:V1", "unpack:001", "wrap:001", "carry:001", "load:001"} & set(keys)
    assert tasks[0].needs == ()


def test_a_piece_that_waits_on_the_floor_is_still_wrapped() -> None:
    document = _first_steps_done(3)
    tasks = floor_tasks(parse_request(document), parse_plan(PLAN))
    assert tasks[0].key == "wrap:001"


def test_a_vault_shifted_twice_is_two_tasks() -> None:
    plan = copy.deepcopy(PLAN)
    plan["steps"].insert(1, {"do": "move", "vault": "X9", "lane": "L1"})
    plan["steps"].insert(2, {"do": "move", "vault": "X9", "lane": "L2"})
    tasks = {task.key: task for task in floor_tasks(parse_request(REQUEST), parse_plan(plan))}
    assert tasks["move#3:X9"].turn == 3
    assert tasks["move#3:X9"].needs == ("move#2:X9",)
    assert tasks["pull:V1"].needs == ("move#3:X9",)


def test_a_piece_that_comes_out_of_the_truck_is_carried_and_loaded_a_second_time() -> None:
    document = copy.deepcopy(PLAN)
    at = document["steps"].index({"do": "load", "tag": "001"}) + 1
    again = [{"do": "take_out", "tag": "001"}, {"do": "load", "tag": "001"}]
    document["steps"] = [*document["steps"][:at], *again, *document["steps"][at:]]
    tasks = floor_tasks(parse_request(_first_steps_done(at)), parse_plan(document))
    by_key = {task.key: task for task in tasks if task.tag == "001"}
    assert list(by_key) == ["take_out:001", "carry#2:001", "load#2:001"]
    assert "take_out:001" in by_key["carry#2:001"].needs
    assert by_key["load#2:001"].turn == 2


def test_every_need_stands_before_its_task() -> None:
    seen: set[str] = set()
    for number, task in enumerate(TASKS, start=1):
        assert task.sequence == number
        assert set(task.needs) <= seen
        seen.add(task.key)


def _finish_in_any_order(data: st.DataObject, tasks: tuple[FloorTask, ...]) -> list[str]:
    done: list[str] = []
    while True:
        states = task_states(tasks, done=frozenset(done))
        ready = [key for key, state in states.items() if state is TaskState.READY]
        if not ready:
            return done
        done.append(data.draw(st.sampled_from(ready)))


@given(st.data())
def test_any_order_of_finishing_ends_with_everything_done_in_tier_order(
    data: st.DataObject,
) -> None:
    done = _finish_in_any_order(data, TASKS)
    assert sorted(done) == sorted(BY_KEY)
    into_the_truck = [
        key for key in done if BY_KEY[key].kind in (TaskKind.LOAD, TaskKind.FILL, TaskKind.CLOSE)
    ]
    assert into_the_truck == [
        f"{step['do']}:{step.get('tag') or step.get('fill') or step.get('tier')}"
        for step in PLAN["steps"]
        if step["do"] in ("load", "fill", "close")
    ]
    on_dock = 0
    for key in done:
        on_dock += (BY_KEY[key].kind is TaskKind.PULL) - (BY_KEY[key].kind is TaskKind.CLEAR)
        assert on_dock <= REQUEST["dock"]["vault_spots"]
