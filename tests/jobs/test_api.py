"""The API: it works, not for strangers, not unsigned, and bad input is a problem document."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from rest_framework.response import Response
from rest_framework.test import APIClient

from inventory.models import Branch, Device, Hold, User
from jobs.models import CrewMember, Event, Job
from jobs.services import tasks_assign
from loading.models import Load, LoadPlan, PlanRun
from tests.jobs.reports import report
from tests.jobs.stage import DAY, NOW, account_for_all


def _client(user: User | None) -> APIClient:
    client = APIClient()
    if user:
        client.force_authenticate(user)
    return client


@pytest.fixture
def api(dispatcher: User) -> APIClient:
    return _client(dispatcher)


def _at(job: Job, rest: str = "") -> str:
    return f"/api/jobs/{job.id}/{rest}"


def _problem(response: Response, status: int, slug: str) -> dict[str, Any]:
    assert response.status_code == status, response.content
    assert response["Content-Type"].startswith("application/problem+json")
    problem: dict[str, Any] = response.json()
    assert problem["type"] == f"/problems/{slug}"
    return problem


def _wish(load: Load) -> dict[str, Any]:
    return {
        "id": str(uuid4()),
        "load": load.pk,
        "day": DAY.isoformat(),
        "window_start": NOW.isoformat(),
        "window_end": (NOW + timedelta(hours=3)).isoformat(),
    }


def test_a_job_is_made_once_and_listed(api: APIClient, load: Load) -> None:
    wish = _wish(load)
    assert [api.post("/api/jobs/", wish).status_code for _ in range(2)] == [201, 201]
    listed = api.get("/api/jobs/", {"day": DAY.isoformat()}).json()["results"]
    assert [job["id"] for job in listed] == [wish["id"]]
    assert api.get("/api/jobs/", {"day": "2026-07-01"}).json()["results"] == []


def test_a_load_with_another_job_is_a_conflict(api: APIClient, load: Load, job: Job) -> None:
    _problem(api.post("/api/jobs/", _wish(load)), 409, "load-has-job")


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"id": "7"}, "/id"),
        ({"load": 0}, "/load"),
        ({"day": "soon"}, "/day"),
        ({"window_start": None}, "/window_start"),
    ],
    ids=str,
)
def test_a_job_that_cannot_be_read_is_told_by_field(
    api: APIClient, load: Load, change: dict[str, object], pointer: str
) -> None:
    problem = _problem(api.post("/api/jobs/", _wish(load) | change), 422, "invalid-input")
    assert [fault["pointer"] for fault in problem["errors"]] == [pointer]
    assert not Job.objects.exists()


def test_a_window_upside_down_is_told(api: APIClient, load: Load) -> None:
    wish = _wish(load) | {"window_end": (NOW - timedelta(hours=3)).isoformat()}
    _problem(api.post("/api/jobs/", wish), 422, "window-invalid")


def test_an_accepted_plan_has_tasks(api: APIClient, job: Job, plan: LoadPlan) -> None:
    assert api.post(_at(job, "accept/"), {"plan": plan.pk}).json()["has_tasks"] is True
    tasks = api.get(_at(job, "tasks/")).json()
    assert [task["sequence"] for task in tasks] == list(range(1, 32))
    ready = api.get(_at(job, "tasks/"), {"status": "ready"}).json()
    assert [task["key"] for task in ready] == ["move:X9", "fetch:007"]


def test_a_plan_is_asked_for_once(api: APIClient, job: Job, shipped: None) -> None:
    wish = {"run": str(uuid4()), "seed": 7, "budget_s": 2}
    for _ in range(2):
        response = api.post(_at(job, "plan/"), wish)
        assert response.status_code == 202
        assert response.json() == {"run": wish["run"], "status": "queued"}
    assert PlanRun.objects.get().seed == 7


def test_a_held_shipment_may_be_planned(
    api: APIClient, job: Job, shipped: None, hold: Hold
) -> None:
    assert api.post(_at(job, "plan/"), {"run": str(uuid4())}).status_code == 202


def test_a_plan_run_of_an_empty_shipment_is_told(api: APIClient, job: Job) -> None:
    response = api.post(_at(job, "plan/"), {"run": str(uuid4())})
    _problem(response, 422, "document-invalid")
    assert not PlanRun.objects.exists()


def test_a_plan_that_is_none_is_told(api: APIClient, job: Job) -> None:
    _problem(api.post(_at(job, "accept/"), {"plan": 0}), 422, "invalid-input")


def test_a_crew_is_put_together(api: APIClient, job: Job, dispatcher: User) -> None:
    crew = api.post(_at(job, "crew/"), {"user": "dana", "part": "loader"}).json()
    assert [(member["user"], member["part"]) for member in crew] == [("dana", "loader")]
    assert api.get(_at(job, "crew/")).json() == crew


@pytest.mark.parametrize(
    "wish", [{"user": "nobody", "part": "loader"}, {"user": "dana", "part": "king"}, {}], ids=str
)
def test_a_crew_member_that_cannot_be_is_told(
    api: APIClient, job: Job, wish: dict[str, str]
) -> None:
    _problem(api.post(_at(job, "crew/"), wish), 422, "invalid-input")
    assert not job.crew.exists()


def test_the_task_in_hand_comes_with_its_place(accepted: Job, crew: dict[str, CrewMember]) -> None:
    client = _client(crew["hanne"].user)
    assert client.get("/api/my-task/").status_code == 204
    tasks_assign(job_id=accepted.id, now=NOW)
    card = client.get("/api/my-task/").json()
    assert card["task"]["key"] == "fetch:007"
    assert card["others"] == ["hugo"]
    assert card["piece"]["name"] == "mattress"
    assert card["place"]["at_mm"] == [1500, 0, 0]
    lift = card["lift"]
    assert (lift["people"], lift["limit_g"], lift["needs_equipment"]) == (2, 30666, False)
    assert 0 < lift["recommended_g"] < lift["limit_g"]
    assert lift["index"] == pytest.approx(25_000 / lift["recommended_g"], abs=0.01)
    assert "NIOSH" in lift["caution"]


def test_a_batch_is_answered_event_by_event(api: APIClient, accepted: Job) -> None:
    moved = report("vault_moved", vault="X9", lane="L2")
    batch = {
        "clock_offset_ms": 60_000,
        "events": [moved, moved, report("piece_loaded", tag="999"), {"kind": "rubbish"}, 7],
    }
    answers = api.post(_at(accepted, "events/"), batch).json()
    assert [(one["answer"], one["code"]) for one in answers] == [
        ("recorded", ""),
        ("repeated", ""),
        ("conflict", "not_in_plan"),
        ("refused", "malformed"),
        ("refused", "malformed"),
    ]
    log = api.get(_at(accepted, "events/")).json()
    assert [event["sequence"] for event in log] == [1, 2]
    assert log[0]["happened_at"] == "2026-03-04T12:00:00Z"
    assert api.get(_at(accepted, "events/"), {"after": 1}).json() == log[1:]
    state = api.get(_at(accepted, "state/")).json()
    assert state["sequence"] == 2
    assert state["state"]["vaults"]["X9"]["lane"] == "L2"


def test_a_batch_too_large_is_refused_whole(api: APIClient, accepted: Job) -> None:
    events = [report("piece_missing", tag="001") for _ in range(201)]
    problem = _problem(
        api.post(_at(accepted, "events/"), {"events": events}), 413, "batch-too-large"
    )
    assert (problem["events"], problem["limit"]) == (201, 200)
    assert not Event.objects.exists()


@pytest.mark.parametrize(
    ("batch", "pointer"),
    [
        ({}, "/events"),
        ({"events": {}}, "/events"),
        ({"events": [], "clock_offset_ms": "late"}, "/clock_offset_ms"),
        ({"events": [], "device": str(uuid4())}, "/device"),
    ],
    ids=["empty", "object", "offset", "device"],
)
def test_a_batch_that_cannot_be_read_is_told(
    api: APIClient, accepted: Job, batch: dict[str, object], pointer: str
) -> None:
    problem = _problem(api.post(_at(accepted, "events/"), batch), 422, "invalid-input")
    assert [fault["pointer"] for fault in problem["errors"]] == [pointer]


def test_a_revoked_device_is_not_permitted(api: APIClient, accepted: Job, branch: Branch) -> None:
    device = Device.objects.create(
        branch=branch, label="tablet", token_hash="x", paired_at=NOW, revoked_at=NOW
    )
    batch = {"device": str(device.pk), "events": [report("vault_pulled", vault="V1")]}
    answers = api.post(_at(accepted, "events/"), batch).json()
    assert [one["code"] for one in answers] == ["not_permitted"]


def test_after_must_be_a_number(api: APIClient, accepted: Job) -> None:
    _problem(api.get(_at(accepted, "events/"), {"after": "x"}), 422, "invalid-input")


def test_a_job_is_closed(api: APIClient, accepted: Job, plan: LoadPlan, dispatcher: User) -> None:
    _problem(api.post(_at(accepted, "close/")), 409, "tags-open")
    account_for_all(accepted, dispatcher)
    assert api.post(_at(accepted, "close/")).json()["status"] == "closed"
    _problem(api.post(_at(accepted, "accept/"), {"plan": plan.pk}), 409, "job-closed")


PARTS = ["", "tasks/", "crew/", "events/", "state/"]


def test_strangers_find_nothing(accepted: Job, stranger: User, load: Load, plan: LoadPlan) -> None:
    client = _client(stranger)
    assert client.get("/api/jobs/").json()["results"] == []
    for part in PARTS:
        _problem(client.get(_at(accepted, part)), 404, "no-such-job")
    for part in ("accept/", "plan/", "crew/", "events/", "close/"):
        _problem(client.post(_at(accepted, part), {}), 404, "no-such-job")
    _problem(client.post("/api/jobs/", _wish(load)), 422, "invalid-input")


def test_nobody_unsigned_comes_in(accepted: Job) -> None:
    client = _client(None)
    for part in PARTS:
        assert client.get(_at(accepted, part)).status_code == 401
    assert client.get("/api/jobs/").status_code == 401
    assert client.get("/api/my-task/").status_code == 401


def test_a_helper_may_report_but_not_decide(
    accepted: Job, crew: dict[str, CrewMember], load: Load, plan: LoadPlan
) -> None:
    client = _client(crew["hugo"].user)
    decisions = {
        "accept/": {"plan": plan.pk},
        "plan/": {"run": str(uuid4())},
        "crew/": {"user": "hugo", "part": "loader"},
        "close/": {},
    }
    for part, wish in decisions.items():
        _problem(client.post(_at(accepted, part), wish), 403, "not-permitted")
    _problem(client.post("/api/jobs/", _wish(load)), 403, "not-permitted")
    batch = {"events": [report("vault_moved", vault="X9", lane="L2")]}
    assert client.post(_at(accepted, "events/"), batch).json()[0]["answer"] == "recorded"


def test_a_key_that_is_none_is_not_found(api: APIClient) -> None:
    assert api.get(f"/api/jobs/{'-' * 36}/").status_code == 404
    _problem(api.get(f"/api/jobs/{uuid4()}/"), 404, "no-such-job")
