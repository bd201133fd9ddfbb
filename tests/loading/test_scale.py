"""Weight tickets of a load: written down once, reconciled with the list, on a page and by API."""

from datetime import date
from uuid import UUID

import pytest
from django.db import IntegrityError, transaction
from django.test import Client

from inventory.models import Item, ItemKind, User
from loading.errors import TicketUuidReused
from loading.models import ScaleTicket
from loading.selectors.scale import load_scale, vault_weighed
from loading.services import scale_ticket_record
from tests.loading.papers.reading import words_of
from tests.loading.scenario import NOW
from tests.loading.test_road_sheet import planned

SIZE = ("length_mm", "width_mm", "height_mm")
WHOLE = {
    "scale_name": "North scale",
    "scale_place": "Harbor Road",
    "weighed_on": date(2026, 3, 4),
    "gross_g": 3_050_000,
    "tare_g": 3_000_000,
    "net_g": 50_000,
    "vehicle": "Truck 7",
    "shipper": "Quill",
    "shipment": "SHP-1",
}


def record(load, number=1, **changed):
    return scale_ticket_record(
        ticket_id=UUID(int=number), load=load, now=NOW, **{**WHOLE, **changed}
    )


@pytest.fixture
def client(dispatcher):
    client = Client()
    client.force_login(dispatcher)
    return client


def test_the_newest_whole_ticket_is_reconciled_with_the_pieces(load):
    planned(load)
    record(load)
    found = load_scale(load=load)
    assert (found.pieces_g, found.reconciled.difference_g) == (40_000, 10_000)
    # Gross and tare may each be off by 20 lb: 18.1 kg, more than the 10 kg that are left.
    assert found.reconciled.is_explained
    assert found.is_settled


def test_a_difference_that_nothing_explains_needs_words(load):
    planned(load)
    record(load, gross_g=3_100_000, net_g=100_000)
    assert not load_scale(load=load).is_settled
    again = {"gross_g": 3_100_000, "net_g": 100_000, "explanation": "two tool chests of the crew"}
    scale_ticket_record(
        ticket_id=UUID(int=2), load=load, now=NOW.replace(hour=23), **{**WHOLE, **again}
    )
    assert load_scale(load=load).is_settled


def test_typical_weights_make_it_less_sure(load):
    planned(load)
    record(load)
    before = load_scale(load=load)
    item = Item.objects.filter(shipment=load.release.shipment).first()
    values = {name: getattr(item, name) for name in (*SIZE, "weight_g", "postures")}
    kind = ItemKind.objects.create(code="any", name="any piece", **values)
    Item.objects.filter(shipment=load.release.shipment).update(weight_from="kind", kind=kind)
    after = load_scale(load=load)
    assert (before.estimated_g, after.estimated_g) == (0, 40_000)
    assert after.reconciled.tolerance_g - before.reconciled.tolerance_g == 8_000  # a fifth


def test_pads_that_came_aboard_after_the_tare_are_taken_off(load):
    planned(load)
    record(load, pads_after_tare=2)
    (part,) = load_scale(load=load).reconciled.parts
    assert (part.cause, part.weight_g) == ("pads_not_in_tare", 2 * 2722)  # 6 lb each, no source


def test_a_ticket_with_faults_is_kept_and_not_reconciled(load):
    planned(load)
    record(load, shipper="", net_g=None)
    found = load_scale(load=load)
    assert [fault.item for fault in found.tickets[0].faults] == ["weights", "shipper"]
    assert found.reconciled is None
    assert not found.is_settled


def test_the_same_ticket_twice_is_one_and_stays(load):
    record(load)
    record(load)
    with pytest.raises(TicketUuidReused):
        record(load, net_g=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        ScaleTicket.objects.update(net_g=1)
    assert ScaleTicket.objects.count() == 1


def test_the_page_takes_pounds_and_says_what_is_missing(load, client, dispatcher):
    planned(load)
    dispatcher.units = "imperial"
    dispatcher.save()
    where = f"/loading/loads/{load.pk}/scale/"
    told = {
        "ticket_id": str(UUID(int=1)),
        "scale_name": "North scale",
        "scale_place": "Harbor Road",
        "weighed_on": "2026-03-04",
        "gross": 22_001,
        "tare": 15_000,
        "net": 7_001,
        "vehicle": "Truck 7",
        "pads_after_tare": 0,
    }
    assert client.post(where, told).status_code == 302
    kept = ScaleTicket.objects.get()
    assert (kept.gross_g, kept.tare_g, kept.net_g) == (9_979_486, 6_803_886, 3_175_600)
    shown = client.get(where).content.decode()
    assert "missing: the shipper" in shown
    assert "The scale against the list" not in shown
    more = {"ticket_id": str(UUID(int=2)), "shipper": "Quill", "shipment": "SHP-1"}
    client.post(where, {**told, **more})
    assert "A difference is left that nothing explains" in client.get(where).content.decode()


def test_the_api_takes_a_ticket_and_answers_with_the_difference(load, client):
    planned(load)
    where = f"/api/loads/{load.pk}/scale/"
    answer = client.post(where, {"id": str(UUID(int=1)), **WHOLE}, "application/json")
    assert answer.status_code == 201
    assert answer.json()["reconciled"]["difference_g"] == 10_000
    assert client.get(where).json() == answer.json()


def test_strangers_find_nothing_and_the_floor_may_weigh(load, stranger, helper):
    for user, seen, written in ((stranger, 404, 404), (helper, 200, 201)):
        other = Client()
        other.force_login(user)
        assert other.get(f"/loading/loads/{load.pk}/scale/").status_code == seen
        sent = {"id": str(UUID(int=3)), **WHOLE}
        answer = other.post(f"/api/loads/{load.pk}/scale/", sent, "application/json")
        assert answer.status_code == written


def test_a_weighed_vaults_pads_and_blocking_are_tare(load, client):
    """43 Tex. Admin. Code; Va. Code 46.2-2165: pads and blocking in a container count as tare."""
    Item.objects.filter(vault__code="V1").update(storage_pads=2)
    where = f"/loading/loads/{load.pk}/scale/"
    # The vault 100 kg, its two cartons 20 kg, four pads of 6 lb (10.886 kg), 3 kg of blocking.
    found = vault_weighed(
        load=load, vault="V1", gross_g=133_888, container_g=100_000, blocking_g=3_000
    )
    assert (found.pads, found.net_g, found.difference_g) == (4, 20_000, 0)
    told = {"vault": "V1", "gross": 133.888, "container": 100, "blocking": 3}
    User.objects.update(units="metric")
    shown = client.get(where, told).content.decode()
    assert "Storage pads taken off as tare" in shown
    assert "20.0 kg" in shown
    wrong = client.get(where, {**told, "vault": "X9"}).content.decode()
    assert "This vault holds nothing of this shipment." in wrong


def paper_of(client, load):
    answer = client.get(f"/loading/loads/{load.pk}/weight-record.pdf")
    assert answer["Content-Type"] == "application/pdf"
    return words_of(answer.content)


def test_the_weight_record_carries_the_six_items_and_the_difference(client, load):
    planned(load)
    record(load, pads_after_tare=2)
    said = paper_of(client, load)
    assert "Scale North scale, Harbor Road" in said
    assert "Gross 6724 lb Tare 6614 lb Net 110 lb" in said
    assert "Vehicle Truck 7 Shipper Quill Number of the shipment SHP-1" in said
    # Net 50 kg less 40 kg of pieces is 22 lb; two pads of 6 lb leave 10 lb.
    assert "Difference 22 lb pads that the tare did not hold 12 lb What is left of it 10 lb" in said
    assert "The difference is explained." in said
    assert "local codes, plates, a scale and a qualified person" in said


def test_the_weight_record_names_what_a_ticket_lacks(client, load):
    record(load, vehicle="", net_g=None)
    said = paper_of(client, load)
    assert "missing: the vehicle" in said
    assert "missing: gross, tare and net" in said
    assert "The scale against the list" not in said


def test_a_load_that_nobody_weighed_has_lines_to_write_on(client, load, stranger):
    said = paper_of(client, load)
    assert "Not weighed yet." in said
    assert "Weighmaster, date" in said
    client.force_login(stranger)
    assert client.get(f"/loading/loads/{load.pk}/weight-record.pdf").status_code == 404
