"""The loader wants a piece for a gap: a helper brings it out of turn."""

from copy import deepcopy
from typing import Any

import pytest
from django.test import Client

from inventory.models import User
from jobs.models import CrewMember, Job, JobState, Task
from jobs.selectors.boards import fits_board
from jobs.selectors.tasks import task_card
from jobs.services import events_record, job_accept_plan, schedule_make, tasks_assign
from tests.jobs import stage
from tests.jobs.reports import report, report_done
from tests.jobs.scenario import PLAN
from tests.jobs.stage import NOW

UNPACKED = [report("vault_moved", vault="X9", lane="L2"), report("vault_pulled", vault="V1")]
UNPACKED += [report("piece_unpacked", tag=tag) for tag in ("001", "002", "003", "004")]


def _tell(job: Job, actor: User, *events: dict[str, Any]) -> list[str]:
    answers = events_record(job=job, events=events, actor=actor, now=NOW)
    return [answer.answer for answer in answers]


def _statuses(job: Job, *keys: str) -> list[str]:
    found = dict(job.tasks.values_list("key", "status"))
    return [found[key] for key in keys]


def test_a_wanted_piece_comes_before_what_the_plan_has_first(
    accepted: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    _tell(accepted, dispatcher, *UNPACKED)
    assert _statuses(accepted, "carry:002", "carry:003", "carry:004") == [
        "ready",
        "ready",
        "waiting",
    ]
    CrewMember.objects.exclude(pk=crew["hugo"].pk).update(active=False)
    assert _tell(accepted, crew["lou"].user, report("piece_wanted", tag="004", tier=1)) == [
        "recorded"
    ]
    assert _statuses(accepted, "carry:004") == ["ready"]
    (given,) = tasks_assign(job_id=accepted.id, now=NOW)
    assert given.task.key == "carry:004"
    card = task_card(task=given.task)
    assert (card.task.wanted_tier, card.placement, card.has_picture) == (1, None, False)


def test_a_schedule_does_not_keep_the_wish_waiting(
    accepted: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    _tell(accepted, dispatcher, *UNPACKED)
    schedule_make(job_id=accepted.id, worker="w1", now=NOW, budget_s=0.05)
    _tell(accepted, crew["lou"].user, report("piece_wanted", tag="004", tier=1))
    keys = {given.task.key for given in tasks_assign(job_id=accepted.id, now=NOW)}
    assert "carry:004" in keys


def test_a_wish_that_is_taken_back_changes_nothing(accepted: Job, dispatcher: User) -> None:
    _tell(accepted, dispatcher, *UNPACKED)
    wish = report("piece_wanted", tag="004", tier=1)
    _tell(accepted, dispatcher, wish, report("undone", event=wish["uuid"]))
    task = accepted.tasks.get(key="carry:004")
    assert (task.status, task.wanted_tier) == ("waiting", None)


def test_once_it_is_loaded_the_order_of_the_plan_counts_again(
    accepted: Job, dispatcher: User
) -> None:
    _tell(accepted, dispatcher, *UNPACKED, report("piece_wanted", tag="004", tier=1))
    place = {"x_mm": None, "y_mm": 900, "z_mm": 200, "posture": "standing"}
    _tell(accepted, dispatcher, report("piece_loaded_elsewhere", tag="004", tier=1, **place))
    assert _statuses(accepted, "carry:004", "load:004") == ["done", "done"]
    assert JobState.objects.get().state["wanted"] == {}
    assert not accepted.tasks.filter(wanted_tier__isnull=False).exists()


@pytest.fixture
def left_behind(job: Job) -> Job:
    """The job by a plan that leaves the mattress behind."""
    document = deepcopy(PLAN)
    document["steps"] = [step for step in document["steps"] if step.get("tag") != "007"]
    document["placements"] = [p for p in document["placements"] if p["tag"] != "007"]
    document["left_off"] = [{"tag": "007", "reason": "no room"}]
    plan = stage.store_plan(job.load, document)
    return job_accept_plan(job=job, plan=plan, by=None, now=NOW)


def test_what_the_plan_leaves_behind_can_be_wanted_too(left_behind: Job, dispatcher: User) -> None:
    _tell(left_behind, dispatcher, report("piece_fetched", tag="007"))
    assert not left_behind.tasks.filter(tag="007").exists()
    wish = report("piece_wanted", tag="007", tier=2)
    assert _tell(left_behind, dispatcher, wish, wish) == ["recorded", "repeated"]
    task = Task.objects.get(tag="007")
    assert (task.key, task.status, task.weight_g) == ("carry:007", "ready", 25_000)
    _tell(left_behind, dispatcher, report_done(task))
    task.refresh_from_db()
    assert task.status == "done"


def test_a_new_plan_keeps_the_task_of_a_wish(left_behind: Job, dispatcher: User) -> None:
    _tell(left_behind, dispatcher, report("piece_fetched", tag="007"))
    _tell(left_behind, dispatcher, report("piece_wanted", tag="007", tier=2))
    assert left_behind.plan is not None
    again = stage.store_plan(left_behind.load, left_behind.plan.document)
    job_accept_plan(job=left_behind, plan=again, by=None, now=NOW)
    task = Task.objects.get(tag="007")
    assert (task.status, task.wanted_tier, task.plan_id) == ("ready", 2, again.pk)


def test_the_loader_asks_for_one_of_those_that_fit(
    client: Client, accepted: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    told = [report("piece_loaded", tag=tag) for tag in ("001", "002")]
    _tell(accepted, dispatcher, *UNPACKED[:3], *told)
    client.force_login(crew["lou"].user)
    point = {"tier": 1, "y": 1700, "z": 100}
    page = client.get(f"/jobs/{accepted.id}/fits/", point).content.decode()
    assert "Bring me this" in page
    assert accepted.plan is not None
    job = Job.objects.get(pk=accepted.pk)
    board = fits_board(job=job, plan=accepted.plan, tier=1, y_mm=1700, z_mm=100)
    assert board is not None
    lines = {line.tag: line for line in board.may_go}
    assert {line.tag for line in lines.values() if line.can_come} <= {"003", "007"}
    wanted = next(tag for tag, line in lines.items() if line.can_come)
    _tell(accepted, crew["lou"].user, report("piece_wanted", tag=wanted, tier=1))
    page = client.get(f"/jobs/{accepted.id}/fits/", point).content.decode()
    assert "A helper brings it." in page
