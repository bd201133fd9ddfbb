"""A job closes when every piece is accounted for and no difference of its equipment is left."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from uuid import UUID, uuid4

import pytest
from django.test import Client

from jobs.custody.accounting import End
from jobs.errors import TagsOpen
from jobs.models import Event, Job
from jobs.selectors.custody import job_tags
from jobs.services import events_record, job_close
from loading.forms import EQUIPMENT_WORDS, PLACE_WORDS
from loading.ledger import Account, Equipment, PlaceKind
from loading.papers.words import ENDS
from loading.selectors.equipment import equipment_balances
from tests.jobs.reports import report
from tests.jobs.stage import NOW, account_for_all, make_piece

if TYPE_CHECKING:
    from inventory.models import User

TAGS = ("001", "002", "003", "004", "005", "006", "007")


@pytest.fixture
def client(dispatcher: User) -> Client:
    client = Client()
    client.force_login(dispatcher)
    return client


def address(job: Job, rest: str = "") -> str:
    return f"/jobs/{job.pk}/closing/{rest}"


def said(end: str, *tags: str, **more: Any) -> dict[str, Any]:
    return {"uuid": str(uuid4()), "tag": tags, "end": end, **more}


def test_a_job_with_open_pieces_stays_open_and_names_them(accepted: Job, dispatcher: User) -> None:
    events = [report("piece_loaded", tag=tag) for tag in TAGS[:5]]
    events_record(job=accepted, events=events, actor=dispatcher, now=NOW)
    with pytest.raises(TagsOpen, match="2 pieces: 006, 007") as refused:
        job_close(job=accepted, now=NOW)
    assert refused.value.tags == ("006", "007")
    accepted.refresh_from_db()
    assert accepted.status != Job.Status.CLOSED


def test_a_job_that_was_never_begun_is_called_off(job: Job) -> None:
    assert job_close(job=job, now=NOW).status == Job.Status.CLOSED


def test_the_api_says_what_is_open(accepted: Job, client: Client) -> None:
    answer = client.post(f"/api/jobs/{accepted.pk}/close/")
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/tags-open"
    assert answer.json()["tags"] == list(TAGS)


def test_the_page_leads_from_open_pieces_to_a_closed_job(accepted: Job, client: Client) -> None:
    shown = client.get(address(accepted)).content.decode()
    assert "7 pieces are not accounted for" in shown
    assert client.post(address(accepted, "close/")).status_code == 409
    client.post(address(accepted, "account/"), said("left", *TAGS[:5], note="no room at the house"))
    client.post(address(accepted, "account/"), said("missing", "006"))
    client.post(address(accepted, "account/"), said("customer", "007", note="own car"))
    ends = {one.tag: (one.end, one.reason) for one in job_tags(job=accepted)}
    assert ends["001"] == (End.LEFT, "no room at the house")
    assert (ends["006"][0], ends["007"][0]) == (End.MISSING, End.CUSTOMER)
    assert client.post(address(accepted, "close/")).status_code == 302
    accepted.refresh_from_db()
    assert accepted.status == Job.Status.CLOSED
    assert "left behind: no room at the house" in client.get(address(accepted)).content.decode()


def test_what_stays_behind_needs_a_reason(accepted: Job, client: Client) -> None:
    answer = client.post(address(accepted, "account/"), said("left", "001"))
    assert answer.status_code == 422
    assert not Event.objects.exists()


def test_a_difference_is_counted_explained_and_gone(accepted: Job, client: Client) -> None:
    client.post(address(accepted, "account/"), said("left", *TAGS, note="called off"))
    pads = {"equipment": "pad"}
    way = "warehouse-truck"
    moved = {**pads, "uuid": str(UUID(int=1)), "count": 40, "way": way}
    client.post(address(accepted, "explain/"), moved)
    client.post(address(accepted, "count/"), {**pads, "uuid": str(UUID(int=2)), "count": 37})
    assert "3 missing" in client.get(address(accepted)).content.decode()
    assert client.post(address(accepted, "close/")).status_code == 409
    wet = {**pads, "uuid": str(UUID(int=3)), "count": 2, "way": "truck-wash", "reason": "wet"}
    client.post(address(accepted, "explain/"), wet)
    lost = {**pads, "uuid": str(UUID(int=4)), "count": 1, "way": "truck-lost"}
    assert client.post(address(accepted, "explain/"), lost).status_code == 422
    client.post(address(accepted, "explain/"), {**lost, "reason": "torn in two"})
    assert client.post(address(accepted, "close/")).status_code == 302
    found = equipment_balances(branch_id=accepted.branch_id)
    assert found == {
        (Account(PlaceKind.LOST), Equipment.PAD): 1,
        (Account(PlaceKind.TRUCK, accepted.load.truck.name), Equipment.PAD): 37,
        (Account(PlaceKind.WAREHOUSE), Equipment.PAD): -40,
        (Account(PlaceKind.WASH), Equipment.PAD): 2,
    }


def test_a_stranger_finds_no_closing(accepted: Job, stranger: User) -> None:
    client = Client()
    client.force_login(stranger)
    assert client.get(address(accepted)).status_code == 404
    assert client.post(address(accepted, "close/")).status_code == 404


def test_every_end_and_every_place_has_a_word_on_the_pages() -> None:
    assert set(ENDS) == {end.value for end in End}
    assert set(EQUIPMENT_WORDS) == set(Equipment)
    assert set(PLACE_WORDS) == set(PlaceKind)


def test_what_is_on_the_truck_leaves_storage_and_the_rest_stays(
    accepted: Job, dispatcher: User
) -> None:
    gone = make_piece(accepted.load.release.shipment)
    events_record(
        job=accepted, events=[report("piece_loaded", tag="001")], actor=dispatcher, now=NOW
    )
    account_for_all(accepted, dispatcher)
    gone.refresh_from_db()
    assert gone.left_at is None
    job_close(job=accepted, now=NOW)
    gone.refresh_from_db()
    assert gone.left_at == NOW


def test_what_stays_behind_stays_in_storage(accepted: Job, dispatcher: User) -> None:
    stays = make_piece(accepted.load.release.shipment)
    account_for_all(accepted, dispatcher)
    job_close(job=accepted, now=NOW)
    stays.refresh_from_db()
    assert stays.left_at is None
