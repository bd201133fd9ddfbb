"""Releases and holds over HTTP."""

from collections.abc import Callable
from uuid import uuid4

from rest_framework.test import APIClient

from inventory.models import Branch, Hold, Item, Release, Shipment

SignedIn = Callable[..., APIClient]


def test_a_release_of_some_pieces(
    shipment: Shipment, make_item: Callable[..., Item], signed_in: SignedIn
) -> None:
    item, client = make_item("001"), signed_in()
    sent = {
        "uuid": str(uuid4()),
        "branch": "north",
        "shipment": "SHP-1",
        "reference": "R1",
        "receiver_name": "J. Roe",
        "items": [item.pk],
    }
    made = client.post("/api/releases/", sent)
    assert made.status_code == 201
    assert made.json() | sent == made.json()
    assert client.post("/api/releases/", sent).json() == made.json()
    again = sent | {"uuid": str(uuid4())}
    assert client.post("/api/releases/", again).status_code == 409
    for wrong in ({"shipment": "SHP-2"}, {"items": [0]}, {"items": [10**12]}, {"branch": "south"}):
        assert client.post("/api/releases/", again | wrong).status_code == 422, wrong
    assert signed_in("warehouse").post("/api/releases/", again).status_code == 403
    assert Release.objects.count() == 1
    listed = client.get("/api/releases/?shipment=SHP-1").json()["results"]
    assert listed == [made.json()]


def test_pieces_of_another_shipment_or_branch(
    shipment: Shipment, make_item: Callable[..., Item], signed_in: SignedIn
) -> None:
    south = Branch.objects.create(code="south", name="South")
    for branch in (shipment.branch, south):
        other = Shipment.objects.create(
            branch=branch, reference="SHP-2", lot_number="2", label_color="red"
        )
        sent = {
            "uuid": str(uuid4()),
            "branch": "north",
            "shipment": "SHP-1",
            "reference": "R1",
            "receiver_name": "J. Roe",
            "items": [make_item("009", shipment=other).pk],
        }
        assert signed_in().post("/api/releases/", sent).status_code == 422
    assert not Release.objects.exists()


def test_identity(shipment: Shipment, signed_in: SignedIn) -> None:
    release = Release.objects.create(shipment=shipment, reference="R1", receiver_name="J. Roe")
    url = f"/api/releases/{release.pk}/identity/"
    assert signed_in("helper").post(url).status_code == 403
    first = signed_in("warehouse").post(url)
    assert first.status_code == 200
    assert first.json()["identity_checked_at"] is not None
    assert signed_in("office").post(url).json() == first.json()


def test_a_hold_is_placed_and_lifted(shipment: Shipment, signed_in: SignedIn) -> None:
    client = signed_in()
    sent = {
        "uuid": str(uuid4()),
        "branch": "north",
        "shipment": "SHP-1",
        "kind": "unpaid_storage",
        "reason": "two months",
    }
    made = client.post("/api/holds/", sent)
    assert made.status_code == 201
    assert client.post("/api/holds/", sent).json() == made.json()
    assert client.post("/api/holds/", sent | {"kind": "mood"}).status_code == 422
    assert signed_in("dispatcher").post("/api/holds/", sent).status_code == 403
    assert client.get("/api/shipments/").json()["results"][0]["held"] is True
    url = f"/api/holds/{made.json()['id']}/lift/"
    assert signed_in("warehouse").post(url).status_code == 403
    assert client.post(url).json()["lifted_at"] is not None
    assert client.get("/api/shipments/").json()["results"][0]["held"] is False
    assert Hold.objects.count() == 1
