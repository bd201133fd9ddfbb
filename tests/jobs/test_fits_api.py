"""What fits into a gap of a job's load, over the API: by what was reported so far."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from inventory.models import User
from jobs.models import CrewMember, Job
from jobs.services import events_record, tasks_assign
from tests.jobs.reports import report
from tests.jobs.stage import NOW

BESIDE_THE_CHEST = {"y_mm": 1700, "z_mm": 100, "tier": 1}
BEGUN = [
    report("vault_moved", vault="X9", lane="L2"),
    report("vault_pulled", vault="V1"),
    *(report("piece_unpacked", tag=tag) for tag in ("001", "002")),
    *(report("piece_loaded", tag=tag) for tag in ("001", "002")),
]


def asked(user: User | None, job: Job, **body: Any) -> Any:
    client = APIClient()
    if user is not None:
        client.force_authenticate(user)
    return client.post(f"/api/jobs/{job.id}/fits/", body, format="json")


@pytest.fixture
def begun(accepted: Job, dispatcher: User) -> Job:
    events_record(job=accepted, events=BEGUN, actor=dispatcher, now=NOW)
    return accepted


def test_each_piece_is_told_with_where_it_is_now(
    begun: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    told = asked(crew["lou"].user, begun, gap=BESIDE_THE_CHEST, most=12).json()
    assert told["gap"]["size_mm"] == [600, 550, 2200]
    found = {fit["tag"]: fit for fit in (*told["may_go"], *told["may_not"])}
    assert found.keys().isdisjoint({"001", "002"})
    assert found["003"]["where"] == {"place": "open_vault", "vault": "V1", "pieces_before": 0}
    assert found["004"]["where"]["pieces_before"] == 1
    assert found["005"]["where"]["place"] == "vault"
    can_come = {tag for tag, fit in found.items() if fit["can_come"]}
    assert "003" in can_come
    assert can_come.isdisjoint({"004", "005"})
    events_record(
        job=begun, events=[report("piece_unpacked", tag="003")], actor=dispatcher, now=NOW
    )
    again = asked(crew["lou"].user, begun, gap=BESIDE_THE_CHEST, most=12).json()
    places = {fit["tag"]: fit["where"]["place"] for fit in (*again["may_go"], *again["may_not"])}
    assert (places["003"], places["004"]) == ("floor", "open_vault")
    assert again["rolls"]["pads"] > 0


def test_choosing_one_makes_a_task_for_a_helper(begun: Job, crew: dict[str, CrewMember]) -> None:
    lou = crew["lou"].user
    told = asked(lou, begun, gap=BESIDE_THE_CHEST).json()
    chosen = next(fit["tag"] for fit in told["may_go"] if fit["can_come"])
    client = APIClient()
    client.force_authenticate(lou)
    wish = report("piece_wanted", tag=chosen, tier=told["gap"]["tier"])
    body = {"events": [wish | {"happened_at": NOW.isoformat()}]}
    answers = client.post(f"/api/jobs/{begun.id}/events/", body, format="json").json()
    assert [answer["answer"] for answer in answers] == ["recorded"]
    again = asked(lou, begun, gap=BESIDE_THE_CHEST).json()
    assert [fit["tag"] for fit in again["may_go"] if fit["wanted"]] == [chosen]
    given = tasks_assign(job_id=begun.id, now=NOW)
    assert chosen in {one.task.tag for one in given}


def test_what_may_not_go_says_why(
    begun: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    heavy = report("weight_corrected", tag="003", weight_g=5_500_000)
    events_record(job=begun, events=[heavy], actor=dispatcher, now=NOW)
    above = {"beside": "002", "side": "above"}
    told = asked(crew["hugo"].user, begun, gap=above, most=12).json()
    (refused,) = (fit for fit in told["may_not"] if fit["tag"] == "003")
    assert not refused["may_go"]
    # 5.5 t are more than either support has left: 6 t less 2 t of its own.
    assert {one["rule"] for one in refused["objections"]} == {"R12"}


def test_a_gap_that_is_none_and_a_gap_that_says_nothing(
    begun: Job, crew: dict[str, CrewMember]
) -> None:
    lou = crew["lou"].user
    problem = asked(lou, begun, gap={"beside": "001", "side": "left"})
    assert (problem.status_code, problem.json()["type"]) == (422, "/problems/no-such-gap")
    assert asked(lou, begun, gap={"depth_mm": 500}).status_code == 422
    assert asked(lou, begun).status_code == 422


def test_without_a_plan_nothing_fits_yet(job: Job, dispatcher: User) -> None:
    problem = asked(dispatcher, job, gap=BESIDE_THE_CHEST)
    assert (problem.status_code, problem.json()["type"]) == (404, "/problems/no-plan-yet")


def test_others_may_not_ask(begun: Job, stranger: User) -> None:
    assert asked(None, begun, gap=BESIDE_THE_CHEST).status_code in (401, 403)
    assert asked(stranger, begun, gap=BESIDE_THE_CHEST).status_code == 404
