"""Custody by the API: every tag, one piece's log, the log as EPCIS 2.0."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from inventory.models import User
from jobs.models import Job
from jobs.services import events_record
from tests.jobs.custody.schema import schema_faults
from tests.jobs.reports import report
from tests.jobs.stage import NOW


def client_of(user: User | None) -> APIClient:
    client = APIClient()
    if user:
        client.force_authenticate(user)
    return client


@pytest.fixture
def begun(accepted: Job, dispatcher: User) -> Job:
    seen = [
        report("vault_pulled", vault="V1"),
        report("piece_unpacked", tag="001", storage_pads_off=0, moving_pads_on=0),
        report("exception_noted", tag="001", note="SC 4"),
        report("piece_loaded", tag="001"),
    ]
    events_record(job=accepted, events=seen, actor=dispatcher, now=NOW)
    return accepted


def at(job: Job, rest: str) -> str:
    return f"/api/jobs/{job.id}/{rest}"


def test_every_tag_of_a_job_and_what_became_of_it(begun: Job, dispatcher: User) -> None:
    told: list[dict[str, Any]] = client_of(dispatcher).get(at(begun, "tags/")).json()
    ends = {one["tag"]: one["end"] for one in told}
    assert ends.pop("001") == "loaded"
    assert ends
    assert set(ends.values()) == {"open"}


def test_the_log_of_a_piece_with_its_condition_in_words(begun: Job, dispatcher: User) -> None:
    told = client_of(dispatcher).get(at(begun, "pieces/001/custody/")).json()
    assert [one["kind"] for one in told][-3:] == [
        "piece_unpacked",
        "exception_noted",
        "piece_loaded",
    ]
    noted = told[-2]
    assert noted["marks"] == [{"code": "SC", "meaning": "scratched", "places": ["front"]}]
    assert noted["actor"] == dispatcher.username


def test_the_log_as_epcis(begun: Job, dispatcher: User) -> None:
    told = client_of(dispatcher).get(at(begun, "pieces/001/custody/epcis/")).json()
    assert schema_faults(told) == []
    steps = [one["bizStep"] for one in told["epcisBody"]["eventList"]]
    assert steps[-3:] == ["unpacking", "inspecting", "loading"]


@pytest.mark.parametrize("rest", ["tags/", "pieces/001/custody/", "pieces/001/custody/epcis/"])
def test_not_for_strangers_nor_unsigned(begun: Job, stranger: User, rest: str) -> None:
    assert client_of(None).get(at(begun, rest)).status_code == 401
    assert client_of(stranger).get(at(begun, rest)).status_code == 404


def test_a_piece_that_is_not_there(begun: Job, dispatcher: User) -> None:
    for rest in ("pieces/999/custody/", "pieces/999/custody/epcis/"):
        assert client_of(dispatcher).get(at(begun, rest)).status_code == 404
