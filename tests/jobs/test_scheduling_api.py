"""Schedule, forecast and the day's proposals over the API."""

from uuid import uuid4

import pytest
from rest_framework.test import APIClient

from inventory.models import User
from jobs.models import CrewMember, CrewPin, DayBalance, Job
from jobs.services import job_accept_plan, schedule_make
from loading.models import Load
from tests.jobs import stage
from tests.jobs.stage import NOW


def client_of(user: User | None) -> APIClient:
    client = APIClient()
    if user:
        client.force_authenticate(user)
    return client


def address(job: Job, part: str) -> str:
    return f"/api/jobs/{job.id}/{part}/"


@pytest.fixture
def other(accepted: Job) -> Job:
    load = Load.objects.get(pk=accepted.load_id)
    load.pk, load.reference = None, "other"
    load.save()
    return job_accept_plan(job=stage.make_job(load), plan=stage.store_plan(load), by=None, now=NOW)


def test_the_schedule_and_the_forecast_are_told(accepted: Job, crew: dict[str, CrewMember]) -> None:
    client = client_of(crew["hugo"].user)
    before = client.get(address(accepted, "schedule")).json()
    assert (before["made_at"], before["end_s"]) == (None, 0)
    schedule_make(job_id=accepted.id, worker="w1", now=NOW, budget_s=0.05)
    told = client.get(address(accepted, "schedule")).json()
    assert {line["person"] for line in told["people"]} == {"lou", "wim", "hanne", "hugo"}
    assert {bar["task"] for line in told["people"] for bar in line["bars"]} == set(
        accepted.tasks.values_list("key", flat=True)
    )
    forecast = client.get(address(accepted, "forecast")).json()
    assert forecast["rests_on"] == "schedule"
    assert forecast["tasks_left"] == accepted.tasks.count()


def test_without_tasks_there_is_no_forecast(job: Job, dispatcher: User) -> None:
    assert client_of(dispatcher).get(address(job, "forecast")).status_code == 204


def test_a_proposal_is_told_pinned_and_accepted_twice_as_once(
    accepted: Job, crew: dict[str, CrewMember], other: Job, dispatcher: User
) -> None:
    row = {"person": crew["hugo"].user_id, "from_job": str(accepted.id), "to_job": str(other.id)}
    DayBalance.objects.create(
        branch=accepted.branch,
        day=accepted.day,
        made_at=NOW,
        proposals=[{**row, "gain_min": 5, "late_gain_min": 1}],
    )
    client = client_of(dispatcher)
    [told] = client.get(address(accepted, "proposals")).json()["proposals"]
    assert (told["person"], told["to_job"], told["gain_min"]) == ("hugo", str(other.id), 5)
    assert client.put(address(accepted, "pins/hugo")).status_code == 200
    pinned = client.get(address(accepted, "proposals")).json()
    assert (pinned["proposals"], len(pinned["pins"])) == ([], 1)
    assert client.delete(address(accepted, "pins/hugo")).status_code == 204
    assert not CrewPin.objects.exists()
    wish = {"wish": str(uuid4()), "person": "hugo", "to_job": str(other.id)}
    answers = [client.post(address(accepted, "proposals"), wish, format="json") for _ in range(2)]
    assert [answer.status_code for answer in answers] == [200, 200]
    assert answers[0].json() == answers[1].json()
    again = client.post(address(accepted, "proposals"), {**wish, "wish": str(uuid4())})
    assert (again.status_code, again.json()["type"]) == (409, "/problems/not-on-job")


def test_bad_wishes_are_told_by_field(accepted: Job, dispatcher: User) -> None:
    client = client_of(dispatcher)
    assert client.post(address(accepted, "proposals"), {"person": "x"}).status_code in (400, 422)
    assert client.put(address(accepted, "pins/nobody")).status_code in (400, 422)


@pytest.mark.parametrize("part", ["schedule", "forecast", "proposals"])
def test_who_may_not_see_the_job_sees_none_of_it(accepted: Job, stranger: User, part: str) -> None:
    assert client_of(None).get(address(accepted, part)).status_code in (401, 403)
    assert client_of(stranger).get(address(accepted, part)).status_code == 404


def test_only_who_dispatches_accepts_and_pins(
    accepted: Job, crew: dict[str, CrewMember], other: Job
) -> None:
    client = client_of(crew["hugo"].user)
    wish = {"wish": str(uuid4()), "person": "hugo", "to_job": str(other.id)}
    assert client.post(address(accepted, "proposals"), wish).status_code == 403
    assert client.put(address(accepted, "pins/hugo")).status_code == 403
    assert client.delete(address(accepted, "pins/hugo")).status_code == 403
