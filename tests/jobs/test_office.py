"""The office's pages of jobs: a job from a release, a piece's log, the release record."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from uuid import UUID

import pytest
from django.test import Client

from inventory.models import Release, Shipment, SignedPaper
from inventory.selectors import item_is_high_value
from jobs.folding import EventKind
from jobs.models import Event, Job, Stream
from jobs.selectors.release_records import CARRIER, HIGH_VALUE, record_document
from jobs.services import events_record
from jobs.templatetags.event_words import EVENT_WORDS
from tests.jobs.reports import report
from tests.jobs.stage import make_piece
from tests.loading.papers.reading import words_of

if TYPE_CHECKING:
    from inventory.models import User
    from loading.models import Load, LoadPlan

NOW = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)
STROKES = json.dumps([[[10, 10], [200, 90]], [[50, 50]]])


@pytest.fixture
def client(dispatcher: User) -> Client:
    client = Client()
    client.force_login(dispatcher)
    return client


def form(**changed: object) -> dict[str, object]:
    told: dict[str, object] = {
        "uuid": str(UUID(int=1)),
        "former": 0,
        "received_name": "R. Doe",
        "received_strokes": STROKES,
        "handed_over_name": "L. Loader",
        "handed_over_strokes": STROKES,
    }
    return told | changed


def address(job: Job, rest: str = "/") -> str:
    return f"/jobs/{job.pk}/release-record{rest}"


def test_a_job_is_made_from_a_release(load: Load, client: Client) -> None:
    make_piece(load.release.shipment)
    where = f"/office/releases/{load.release_id}/job/"
    assert b"Make a job" in client.get(where).content
    told = {
        "reference": "LOAD-77",
        "truck": load.truck_id,
        "dock": load.dock_id,
        "distance": "10",
        "day": "2026-05-04",
        "start": "07:00",
        "end": "11:00",
    }
    upside_down = client.post(where, told | {"end": "06:00"})
    assert upside_down.status_code == 422
    assert not Job.objects.exists()
    answer = client.post(where, told)
    made = Job.objects.get()
    assert answer["Location"] == f"/jobs/{made.pk}/"
    assert made.load.reference == "LOAD-77"
    # Ten miles, for somebody who reads miles: 16.09344 km (1.609344 each, exact).
    assert made.load.distance_km == pytest.approx(16.09344)


def test_the_record_is_signed_frozen_and_corrected(job: Job, client: Client) -> None:
    shown = client.post(address(job), form(), follow=True).content.decode()
    paper = SignedPaper.objects.get()
    assert paper.sha256 in shown
    pdf = client.get(address(job, "/1.pdf")).content
    assert hashlib.sha256(pdf).hexdigest() == paper.sha256
    said = words_of(pdf)
    assert "Received by: R. Doe" in said
    assert "Handed over by: L. Loader" in said
    again = form(uuid=str(UUID(int=2)), former=1, reason="a scratch was forgotten")
    client.post(address(job), again)
    second = words_of(client.get(address(job, "/2.pdf")).content)
    assert "version 2, corrected: a scratch was forgotten" in second
    assert client.get(address(job, "/1.pdf")).content == pdf


@pytest.mark.parametrize(
    "changed",
    [
        {"received_strokes": "[]"},
        {"handed_over_name": ""},
        {"received_strokes": "[[[0, 99999]]]"},
        {"former": 3, "reason": "why"},
        {"received_strokes": "not drawn"},
    ],
)
def test_what_is_not_signed_by_both_is_not_frozen(
    job: Job, client: Client, changed: dict[str, object]
) -> None:
    assert client.post(address(job), form(**changed)).status_code == 422
    assert not SignedPaper.objects.exists()


def test_the_unsigned_record_has_lines_to_sign_on(job: Job, client: Client) -> None:
    said = words_of(client.get(address(job, ".pdf")).content)
    assert "Release record" in said
    assert "Received by, date" in said


def test_a_stranger_finds_no_record(job: Job, stranger: User) -> None:
    client = Client()
    client.force_login(stranger)
    for where in (address(job), address(job, ".pdf"), address(job, "/1.pdf")):
        assert client.get(where).status_code == 404
    assert client.post(address(job), form()).status_code == 404


def test_every_kind_of_event_has_a_word_on_the_pages():
    assert set(EVENT_WORDS) == set(EventKind)


def test_a_pieces_log_tells_what_happened_and_what_was_taken_back(
    job: Job, plan: LoadPlan, client: Client, dispatcher: User
) -> None:
    item = make_piece(job.load.release.shipment)
    stream = Stream.objects.create(branch=job.branch, kind="job", key=str(job.pk))
    loaded = event_made(stream, 1, "piece_loaded", dispatcher, tag="001")
    event_made(stream, 2, "piece_loaded", dispatcher, tag="002")
    where = f"/office/pieces/{item.pk}/"
    shown = client.get(where).content.decode()
    assert "piece loaded 001" in shown
    assert "piece loaded 002" not in shown
    assert "taken back" not in shown
    event_made(stream, 3, "undone", dispatcher, event=str(loaded.uuid))
    assert "taken back" in client.get(where).content.decode()


def test_a_stranger_finds_no_piece(job: Job, stranger: User) -> None:
    client = Client()
    client.force_login(stranger)
    item = make_piece(job.load.release.shipment)
    assert client.get(f"/office/pieces/{item.pk}/").status_code == 404
    assert client.get(f"/office/releases/{job.load.release_id}/job/").status_code == 404


def event_made(stream: Stream, sequence: int, kind: str, by: User, **payload: str) -> Event:
    return Event.objects.create(
        stream=stream,
        sequence=sequence,
        uuid=UUID(int=100 + sequence),
        kind=kind,
        payload=payload,
        actor=by,
        happened_at=NOW,
        recorded_at=NOW,
        outcome="recorded",
    )


def test_high_value_goods_are_signed_for_apart(
    accepted: Job, client: Client, dispatcher: User
) -> None:
    item = make_piece(accepted.load.release.shipment)
    where = f"/jobs/{accepted.pk}/high-value/"
    assert "Nothing of this load is on the high-value list" in client.get(where).content.decode()
    client.post(f"/inventory/{accepted.branch.code}/items/{item.pk}/value/", {"high_value": "yes"})
    loaded = [report("piece_loaded", tag=tag) for tag in ("001", "002")]
    events_record(job=accepted, events=loaded, actor=dispatcher, now=NOW)
    assert [row["tag"] for row in record_document(job=accepted, kind=HIGH_VALUE)["pieces"]] == [
        "001"
    ]
    client.post(where, form())
    client.post(address(accepted), form(uuid=str(UUID(int=5))))
    kinds = SignedPaper.objects.order_by("kind").values_list("kind", "version")
    assert list(kinds) == [("high-value", 1), ("release-record", 1)]
    said = words_of(client.get(f"{where}1.pdf").content)
    assert "High-value list" in said
    assert "001" in said
    assert "002" not in said


def test_another_carriers_driver_agrees_on_the_condition_of_every_piece(
    accepted: Job, client: Client, dispatcher: User
) -> None:
    events = [
        report("piece_loaded", tag="001"),
        report("piece_loaded", tag="002"),
        report("exception_noted", tag="002", note="D 2"),
    ]
    events_record(job=accepted, events=events, actor=dispatcher, now=NOW)
    assert record_document(job=accepted, kind=CARRIER)["conditions"] == [
        {"tag": "001", "received": "", "released": ""},
        {"tag": "002", "received": "", "released": "D 2"},
    ]
    client.post(f"/jobs/{accepted.pk}/carrier-hand-over/", form(received_name="O. Driver"))
    said = words_of(client.get(f"/jobs/{accepted.pk}/carrier-hand-over/1.pdf").content)
    assert "Hand-over to another carrier" in said
    assert "Received by: O. Driver" in said
    assert "no change noted" in said


def test_words_and_decisions_put_a_piece_on_the_high_value_list(job: Job) -> None:
    item = make_piece(job.load.release.shipment)
    assert not item_is_high_value(item=item)
    item.name = "coin collection"
    assert item_is_high_value(item=item)
    item.high_value = False
    assert not item_is_high_value(item=item)


def test_each_receiver_of_a_truck_signs_for_their_own_shipment(
    load: Load, accepted: LoadPlan, job: Job, client: Client
) -> None:
    other = Shipment.objects.create(
        branch=job.branch, lot_number="4411", label_color="red", reference="SHP-0002"
    )
    second = Release.objects.create(shipment=other, reference="R9", receiver_name="S. Roe")
    load.besides.add(second)
    make_piece(other)
    here = address(job)
    first_page = client.get(here).content.decode()
    assert f"?release={second.pk}" in first_page
    there = f"{here}?release={second.pk}"
    assert client.post(there, form(received_name="S. Roe")).headers["Location"] == there
    paper = SignedPaper.objects.get()
    assert paper.subject == f"job {job.pk} release {second.pk}"
    assert "S. Roe" in client.get(there).content.decode()
    assert "Signed versions" not in client.get(here).content.decode()
    assert client.get(f"{here}?release=0").status_code == 404
    record = record_document(job=job, release=second)
    assert (record["shipment"], record["receiver"]) == ("SHP-0002", "S. Roe")
