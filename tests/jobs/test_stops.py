"""A stop that is added after a load was begun reaches the plan of its rest."""

from typing import Any

import pytest
from django.test import Client

from inventory.errors import WriteRefusedError
from inventory.models import Item, Release, Shipment, User
from jobs.folding import empty_state
from jobs.models import Event, Job, JobState, Replan
from jobs.replanning import carried_over
from jobs.selectors.events import job_state_fresh
from jobs.selectors.notices import job_notices
from jobs.services import events_record, replan_execute, stop_set
from loading.planner.plan import LoadPlan, parse_plan
from loading.planner.request import LoadRequest
from tests.jobs.reports import report
from tests.jobs.scenario import PLAN, REQUEST
from tests.jobs.stage import NOW, make_piece


@pytest.fixture
def pieces(accepted: Job) -> dict[str, Item]:
    """Storage has what the plan's request has."""
    shipment = accepted.load.release.shipment
    return {item["tag"]: make_piece(shipment, item["tag"]) for item in REQUEST["items"]}


def told(items: list[Item], stop: int, by: User | None = None) -> list[Job]:
    return stop_set(items=items, stop=stop, by=by, now=NOW)


def causes() -> list[list[str]]:
    return [replan.causes for replan in Replan.objects.all()]


def test_a_begun_load_is_planned_anew_with_the_stop(
    accepted: Job, pieces: dict[str, Item], dispatcher: User
) -> None:
    events_record(
        job=accepted, events=[report("piece_unpacked", tag="001")], actor=dispatcher, now=NOW
    )
    assert told([pieces["006"], pieces["007"]], 2, dispatcher) == [accepted]
    assert causes() == [["stop_changed 006", "stop_changed 007"]]
    asked: list[LoadRequest] = []

    def search(request: LoadRequest, **_: Any) -> LoadPlan:
        asked.append(request)
        return carried_over(request, parse_plan(PLAN), empty_state())

    replan = Replan.objects.get()
    replan_execute(replan_id=replan.id, worker="w", now=NOW, search=search)
    assert {item.tag: item.stop for item in asked[0].items} == {
        **{item["tag"]: 1 for item in REQUEST["items"]},
        "006": 2,
        "007": 2,
    }
    assert "Piece 006 goes to another stop" in str(job_notices(job=accepted)[0].sentence)


def test_it_is_in_the_record_with_who_said_it(
    accepted: Job, pieces: dict[str, Item], dispatcher: User
) -> None:
    told([pieces["007"]], 2, dispatcher)
    event = Event.objects.get()
    assert (event.kind, event.payload, event.actor) == (
        *("stop_changed", {"tag": "007", "stop": 2}, dispatcher),
    )
    stored = JobState.objects.get(job=accepted)
    assert stored.state == job_state_fresh(job=accepted)


def test_told_twice_is_told_once_and_taken_back_is_told_again(
    accepted: Job, pieces: dict[str, Item]
) -> None:
    assert [bool(told([pieces["007"]], stop)) for stop in (2, 2, 1, 1)] == [*(True, False) * 2]
    assert [event.payload["stop"] for event in Event.objects.order_by("sequence")] == [2, 1]


def test_what_rides_behind_comes_after_the_new_stop(accepted: Job, pieces: dict[str, Item]) -> None:
    behind = Shipment.objects.create(
        branch=accepted.branch, reference="SHP-2", lot_number="9", label_color="red"
    )
    make_piece(behind, "950")
    release = Release.objects.create(shipment=behind, reference="R", receiver_name="B. Ash")
    accepted.load.besides.add(release)
    plan = accepted.tasks_plan
    assert plan is not None
    told([pieces["007"]], 2)
    # 950 is of no plan yet, so nobody has to be told of it.
    assert [event.payload["tag"] for event in Event.objects.all()] == ["007"]


def test_a_load_that_nobody_has_begun_is_only_noted(job: Job) -> None:
    piece = make_piece(job.load.release.shipment, "007")
    assert told([piece], 2) == []
    piece.refresh_from_db()
    assert (piece.stop, Event.objects.count()) == (2, 0)


def test_no_stop_before_the_first(accepted: Job, pieces: dict[str, Item]) -> None:
    with pytest.raises(WriteRefusedError):
        told([pieces["007"]], 0)
    assert not Event.objects.exists()


def test_a_phone_cannot_say_it(accepted: Job, dispatcher: User) -> None:
    event = report("stop_changed", tag="007", stop=2)
    (answer,) = events_record(job=accepted, events=[event], actor=dispatcher, now=NOW)
    assert (answer.answer, answer.code) == ("refused", "malformed")


def test_the_office_says_it_on_the_shipments_page(
    accepted: Job, pieces: dict[str, Item], dispatcher: User
) -> None:
    client = Client()
    client.force_login(dispatcher)
    asks = f"/office/shipments/{accepted.load.release.shipment_id}/stops/"
    answer = client.post(asks, {"stop": 2, "tags": "7"}, follow=True)
    assert "The rest of small is planned anew." in answer.content.decode()
    assert causes() == [["stop_changed 007"]]


def test_over_the_api(
    accepted: Job, pieces: dict[str, Item], dispatcher: User, stranger: User
) -> None:
    where = f"/api/shipments/{accepted.load.release.shipment_id}/stops/"
    sent = {"items": [pieces["007"].pk], "stop": 2}
    for user, changed, status in (
        (None, {}, 401),
        (stranger, {}, 404),
        (dispatcher, {"stop": 0}, 422),
        (dispatcher, {"items": [10**9]}, 422),
    ):
        client = Client()
        if user:
            client.force_login(user)
        answer = client.post(where, {**sent, **changed}, "application/json")
        assert answer.status_code == status, answer.content
    assert not Event.objects.exists()
    for planned in (["small"], []):
        answer = client.post(where, sent, "application/json")
        assert (answer.status_code, answer.json()) == (200, {"planned_anew": planned})
    assert causes() == [["stop_changed 007"]]
