"""A piece's condition when received beside that when released, with photographs from the floor."""

from __future__ import annotations

import io
import json
import zipfile
from typing import TYPE_CHECKING, Any
from uuid import UUID, uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from inventory.models import ConditionNote, Moment, Photo
from inventory.services import condition_note
from jobs.models import Event
from jobs.selectors.condition import piece_condition
from jobs.selectors.release_records import record_document
from jobs.services import events_record
from jobs.services.afterwards import Told, piece_put
from tests.jobs.reports import report
from tests.jobs.stage import NOW, make_piece
from tests.loading.papers.reading import words_of

if TYPE_CHECKING:
    from pathlib import Path

    from pytest_django.fixtures import Settings

    from inventory.models import Item, User
    from jobs.models import CrewMember, Job


@pytest.fixture(autouse=True)
def media(settings: Settings, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = str(tmp_path)
    return tmp_path


@pytest.fixture
def client(dispatcher: User) -> Client:
    client = Client()
    client.force_login(dispatcher)
    return client


@pytest.fixture
def item(accepted: Job) -> Item:
    return make_piece(accepted.load.release.shipment)


def picture(name: str = "photo.jpg") -> SimpleUploadedFile:
    written = io.BytesIO()
    Image.new("RGB", (40, 20), "brown").save(written, "JPEG")
    return SimpleUploadedFile(name, written.getvalue())


def sent(**changed: Any) -> dict[str, Any]:
    return {"uuid": str(UUID(int=7)), "tag": "001", "photo": picture(), **changed}


def test_both_conditions_stand_side_by_side(
    accepted: Job, item: Item, client: Client, dispatcher: User
) -> None:
    where = f"/inventory/{accepted.branch.code}/items/{item.pk}/condition/"
    keys = {"note_id": str(UUID(int=1)), "photo_id": str(UUID(int=2))}
    client.post(where, {**keys, "moment": "received", "note": "SC 4", "photo": picture()})
    noted = report("exception_noted", tag="001", note="D 2")
    events_record(job=accepted, events=[noted], actor=dispatcher, now=NOW)
    client.post(f"/jobs/{accepted.pk}/photos/", sent(event=noted["uuid"]))
    received, released = piece_condition(item=item)
    assert [seen.note for seen in received.seen] == ["SC 4"]
    assert [seen.note for seen in released.seen] == ["D 2"]
    assert [mark.meaning for mark in released.seen[0].marks] == ["dented"]
    assert [photo.event for photo in released.photos] == [UUID(noted["uuid"])]
    shown = client.get(f"/office/pieces/{item.pk}/").content.decode()
    for photo in (*received.photos, *released.photos):
        assert f"/inventory/{accepted.branch.code}/photos/{photo.pk}.jpg" in shown
    assert record_document(job=accepted)["conditions"] == [
        {"tag": "001", "received": "SC 4", "released": "D 2"}
    ]
    said = words_of(client.get(f"/jobs/{accepted.pk}/release-record.pdf").content)
    assert "When received" in said
    assert "SC 4" in said


def test_what_was_taken_back_is_no_condition(accepted: Job, item: Item, dispatcher: User) -> None:
    noted = report("exception_noted", tag="001", note="D 2")
    undone = report("undone", event=noted["uuid"])
    events_record(job=accepted, events=[noted, undone], actor=dispatcher, now=NOW)
    assert piece_condition(item=item)[1].seen == ()


def test_a_phone_sends_a_photograph_twice_and_before_its_exception(
    accepted: Job, item: Item, client: Client
) -> None:
    for _ in range(2):
        answer = client.post(f"/jobs/{accepted.pk}/photos/", sent(event=str(uuid4())))
        assert (answer.status_code, answer.json()) == (201, {"uuid": str(UUID(int=7))})
    assert Photo.objects.get().item == item


def test_a_photograph_of_a_piece_that_no_list_has_is_kept_under_its_tag(
    accepted: Job, client: Client
) -> None:
    client.post(f"/jobs/{accepted.pk}/photos/", sent(tag="999"))
    kept = Photo.objects.get()
    assert (kept.item, kept.tag, kept.subject) == (None, "999", f"job {accepted.pk}")


@pytest.mark.parametrize(
    "changed",
    [{"photo": SimpleUploadedFile("photo.jpg", b"no picture")}, {"tag": ""}, {"uuid": "7"}],
    ids=["no picture", "no tag", "no UUID"],
)
def test_what_cannot_be_kept_is_refused_for_good(
    accepted: Job, client: Client, changed: dict[str, Any]
) -> None:
    where = f"/jobs/{accepted.pk}/photos/"
    answer = client.post(where, sent(**changed), headers={"accept": "application/json"})
    assert answer.status_code == 422
    assert not Photo.objects.exists()


def test_the_api_keeps_and_lists_photographs(accepted: Job, client: Client) -> None:
    where = f"/api/jobs/{accepted.pk}/photos/"
    told = {"id": str(UUID(int=7)), "tag": "001", "photo": picture()}
    assert client.post(where, told).status_code == 201
    (listed,) = client.get(where).json()
    picture_sent = client.get(listed["url"])
    assert picture_sent["Content-Type"] == "image/jpeg"
    assert picture_sent["X-Content-Type-Options"] == "nosniff"
    assert b"".join(picture_sent.streaming_content).startswith(b"\xff\xd8")  # type: ignore[attr-defined]


def test_strangers_neither_see_nor_send(
    accepted: Job, item: Item, client: Client, stranger: User
) -> None:
    client.post(f"/jobs/{accepted.pk}/photos/", sent())
    other = Client()
    other.force_login(stranger)
    url = f"/inventory/{accepted.branch.code}/photos/{UUID(int=7)}.jpg"
    assert client.get(url).status_code == 200
    for nobody in (other, Client()):
        assert nobody.get(url).status_code in (302, 404)
    assert other.post(f"/jobs/{accepted.pk}/photos/", sent()).status_code == 404
    note = f"/inventory/{accepted.branch.code}/items/{item.pk}/condition/"
    assert other.post(note, {"moment": "received", "note": "D 2"}).status_code == 404
    assert not ConditionNote.objects.exists()


def test_only_pieces_with_a_note_are_in_the_record(accepted: Job, item: Item) -> None:
    assert record_document(job=accepted)["conditions"] == []
    condition_note(note_id=uuid4(), item=item, moment=Moment.RECEIVED, note="W", by=None, now=NOW)
    (told,) = record_document(job=accepted)["conditions"]
    assert told == {"tag": "001", "received": "W", "released": ""}


def test_a_claim_file_holds_both_conditions_photographs_handlers_and_place(
    accepted: Job, item: Item, client: Client, dispatcher: User
) -> None:
    condition_note(
        note_id=uuid4(), item=item, moment=Moment.RECEIVED, note="SC 4", by=None, now=NOW
    )
    events = [
        report("piece_loaded", tag="001"),
        report("exception_noted", tag="001", note="D 2"),
    ]
    events_record(job=accepted, events=events, actor=dispatcher, now=NOW)
    client.post(f"/jobs/{accepted.pk}/photos/", sent())
    packed = client.get(f"/office/pieces/{item.pk}/claim.zip")
    assert packed["Content-Type"] == "application/zip"
    assert packed.content == client.get(f"/office/pieces/{item.pk}/claim.zip").content
    with zipfile.ZipFile(io.BytesIO(packed.content)) as archive:
        names = archive.namelist()
        told = json.loads(archive.read("claim.json"))
        said = words_of(archive.read("claim.pdf"))
        photo = archive.read(names[2])
    assert names[:2] == ["claim.pdf", "claim.json"]
    assert names[2].startswith("photos/released-")
    assert photo.startswith(b"\xff\xd8")
    assert [line["note"] for line in told["received"]] == ["SC 4"]
    assert [line["meaning"] for line in told["released"]] == ["dented, bottom"]
    assert told["handlers"] == ["dana"]
    (place,) = told["places"]
    assert (place["tier"], place["at_mm"], place["rests_on"]) == (1, [0, 0, 0], ["deck"])
    assert "exception noted: D 2" in said
    assert "tier 1 of 2" in said


def test_a_claim_file_tells_where_the_piece_was_put_after_the_load(
    accepted: Job, item: Item, client: Client, dispatcher: User
) -> None:
    piece_put(item=item, place="claims shelf", told=Told(uuid4(), dispatcher, NOW))
    packed = client.get(f"/office/pieces/{item.pk}/claim.zip")
    with zipfile.ZipFile(io.BytesIO(packed.content)) as archive:
        told = json.loads(archive.read("claim.json"))
        said = words_of(archive.read("claim.pdf"))
    assert [line["kind"] for line in told["log"]] == ["piece_put"]
    assert told["handlers"] == ["dana"]
    assert "piece put at a place: claims shelf" in said


def test_the_floor_and_strangers_get_no_claim_file(
    accepted: Job, item: Item, crew: dict[str, CrewMember], stranger: User
) -> None:
    for user, status in ((crew["hanne"].user, 403), (stranger, 404)):
        other = Client()
        other.force_login(user)
        assert other.get(f"/office/pieces/{item.pk}/claim.zip").status_code == status


def test_a_form_without_script_brings_exception_and_photograph_at_once(
    accepted: Job, item: Item, client: Client
) -> None:
    where, home = f"/jobs/{accepted.pk}/photos/", f"/jobs/{accepted.pk}/loader/"
    for _ in range(2):  # pressed twice
        answer = client.post(where, sent(note="D 2", next=home))
        assert (answer.status_code, answer["Location"]) == (302, home)
    kept, noted = Photo.objects.get(), Event.objects.get()
    assert (kept.event, noted.kind, noted.payload["note"]) == (
        noted.uuid,
        "exception_noted",
        "D 2",
    )
    wrong = sent(uuid=str(uuid4()), next=home, photo=SimpleUploadedFile("p.jpg", b"no picture"))
    assert client.post(where, wrong)["Location"] == home
    assert client.post(where, sent(tag="", next=home))["Location"] == home
    assert Photo.objects.count() == 1
