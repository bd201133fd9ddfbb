"""Shifts, skills, ways, and the crews of a day over the API."""

from datetime import timedelta
from typing import Any

import pytest
from rest_framework.test import APIClient

from inventory.models import Branch, User
from jobs.models import CrewPin, DayCrews, DockWay, Job, Shift, Skill
from jobs.selectors.floors import crew_there
from jobs.services import day_crews_make
from tests.jobs import stage
from tests.jobs.stage import DAY, NOW
from tests.jobs.test_day_crews import one_crew_each

DAYS = f"/api/branches/NORTH/days/{DAY}"
SHIFT = {
    "starts_at": "2026-03-04T12:00:00Z",
    "ends_at": "2026-03-04T21:00:00Z",
    "breaks": [{"starts_at": "2026-03-04T15:00:00Z", "ends_at": "2026-03-04T15:30:00Z"}],
}


def client_of(user: User | None) -> Any:
    client = APIClient()
    if user:
        client.force_authenticate(user)
    return client


@pytest.fixture
def people(branch: Branch) -> dict[str, User]:
    parts = {"lou": "loader", "wim": "warehouse", "ada": "helper"}
    return {name: stage.make_person(branch, name, part) for name, part in parts.items()}


def test_a_day_is_manned_over_the_api_alone(
    branch: Branch, accepted: Job, people: dict[str, User], dispatcher: User
) -> None:
    client = client_of(dispatcher)
    for name in people:
        sent = client.put(f"{DAYS}/shifts/{name}/", SHIFT, format="json")
        assert sent.status_code == 204
    shifts = client.get(f"{DAYS}/shifts/").json()
    assert [one["user"] for one in shifts] == list(people)
    assert shifts[0]["breaks"] == SHIFT["breaks"]
    assert client.post(f"{DAYS}/crews/").json()["is_wanted"]
    day_crews_make(branch_id=branch.pk, day=DAY, worker="w", now=NOW, balance=one_crew_each)
    told = client.get(f"{DAYS}/crews/").json()
    assert not told["is_wanted"]
    (crew,) = told["crews"]
    assert (crew["job"], crew["reference"]) == (str(accepted.pk), "small")
    assert {one["user"]: one["why"] for one in crew["people"]} == {
        "lou": "loader",
        "wim": "warehouse",
        "ada": "sooner",
    }
    wish = {"people": ["lou"], "pin": True}
    for _ in range(2):
        put = client.post(f"/api/jobs/{accepted.pk}/crew/accept/", wish, format="json").json()
        assert [(one["user"], one["part"]) for one in put] == [("lou", "loader")]
    assert CrewPin.objects.get().person == people["lou"]
    client.post(f"/api/jobs/{accepted.pk}/crew/accept/", {}, format="json")
    assert accepted.crew.count() == 3


def test_skills_ways_and_a_shift_that_is_taken_back(
    branch: Branch, accepted: Job, people: dict[str, User], dispatcher: User
) -> None:
    client = client_of(dispatcher)
    skills = "/api/branches/NORTH/skills/wim/"
    assert client.put(skills, {"kinds": ["forklift"]}, format="json").status_code == 204
    assert Skill.objects.get().person == people["wim"]
    assert client.put(skills, {"kinds": ["flying"]}, format="json").status_code == 422
    way = f"/api/docks/{accepted.load.dock_id}/way/"
    assert client.put(way, {"minutes": 25}, format="json").json() == {"minutes": 25}
    assert DockWay.objects.get().minutes == 25
    client.put(f"{DAYS}/shifts/ada/", SHIFT, format="json")
    assert client.delete(f"{DAYS}/shifts/ada/").status_code == 204
    assert not Shift.objects.exists()


def test_somebody_who_is_late_is_counted_on_from_then(
    accepted: Job, people: dict[str, User], dispatcher: User
) -> None:
    wish = {"user": "ada", "part": "helper", "comes_at": "2026-03-04T13:00:00Z"}
    client_of(dispatcher).post(f"/api/jobs/{accepted.pk}/crew/", wish, format="json")
    (told,) = client_of(people["ada"]).get(f"/api/jobs/{accepted.pk}/crew/").json()
    assert told["comes_at"] == "2026-03-04T13:00:00Z"
    assert not crew_there(job=accepted, now=NOW).exists()
    assert crew_there(job=accepted, now=NOW + timedelta(hours=1)).exists()


def test_what_cannot_be_is_refused_with_its_kind(
    branch: Branch, accepted: Job, people: dict[str, User], stranger: User, dispatcher: User
) -> None:
    client = client_of(dispatcher)
    wrong = {**SHIFT, "ends_at": "2026-03-04T11:00:00Z"}
    problem = client.put(f"{DAYS}/shifts/ada/", wrong, format="json")
    assert problem.json()["type"] == "/problems/shift-invalid"
    assert client.put(f"{DAYS}/shifts/nobody/", SHIFT, format="json").status_code == 422
    assert client.put(f"{DAYS}/shifts/sasha/", SHIFT, format="json").status_code == 422
    problem = client.post(f"/api/jobs/{accepted.pk}/crew/accept/", {}, format="json")
    assert (problem.status_code, problem.json()["type"]) == (409, "/problems/no-crew-proposed")


def test_who_may_not_dispatch_may_look_only(
    branch: Branch, accepted: Job, people: dict[str, User], stranger: User
) -> None:
    helper = client_of(people["ada"])
    assert helper.get(f"{DAYS}/crews/").json()["made_at"] is None
    assert helper.post(f"{DAYS}/crews/").status_code == 403
    assert helper.put(f"{DAYS}/shifts/ada/", SHIFT, format="json").status_code == 403
    assert helper.post(f"/api/jobs/{accepted.pk}/crew/accept/").status_code == 403
    assert client_of(stranger).get(f"{DAYS}/crews/").status_code == 404
    assert client_of(None).get(f"{DAYS}/crews/").status_code in (401, 403)
    assert not DayCrews.objects.exists()
