"""Two shipments in one truck: planned together, delivered one after the other, kept apart."""

import pytest

from inventory.models import Branch, Hold, Item, ItemTag, Release, Shipment
from loading.errors import BranchesDiffer, DocumentInvalid, ReferenceTaken
from loading.planner.request import parse_request
from loading.selectors import (
    load_is_held,
    load_labels,
    load_request_document,
    load_shipments,
    loads_of_shipment,
)
from loading.services import load_create
from tests.loading.scenario import NOW, dock_made, load_made, release_made, truck_made


def second_made(branch: Branch, reference: str = "SHP-0002") -> Release:
    """One chair with the tag 001, which the first shipment has too, in another colour."""
    shipment = Shipment.objects.create(
        branch=branch, reference=reference, lot_number="5513", label_color="red"
    )
    chair = Item.objects.create(
        shipment=shipment,
        name="chair",
        length_mm=400,
        width_mm=400,
        height_mm=800,
        weight_g=5_000,
        postures=["standing"],
        bears_g=0,
        stop=2,
    )
    ItemTag.objects.create(
        branch=branch,
        item=chair,
        lot_number="5513",
        label_color="red",
        number="001",
        assigned_at=NOW,
    )
    return Release.objects.create(shipment=shipment, reference="REL-1", receiver_name="S. Roe")


def test_the_second_is_delivered_after_the_first_and_equal_tags_are_told_apart(branch):
    load = load_made(branch, besides=[second_made(branch)])
    request = parse_request(load_request_document(load=load))
    stops = {item.tag: item.stop for item in request.items}
    labels = {label: item.shipment.reference for item, label in load_labels(load=load)}
    assert sorted(stops.values()) == [1, 1, 1, 3]
    (last,) = (tag for tag, stop in stops.items() if stop == 3)
    assert labels[last] == "SHP-0002"
    assert "red" in last.lower()
    assert {"002", "003"} < set(stops)
    assert load_shipments(load=load) == "SHP-0001, SHP-0002"


def test_both_shipments_know_their_load_and_either_hold_stops_it(branch):
    second = second_made(branch)
    load = load_made(branch, besides=[second])
    for release in (load.release, second):
        assert list(loads_of_shipment(shipment_id=release.shipment_id)) == [load]
    assert not load_is_held(load=load)
    Hold.objects.create(shipment=second.shipment, kind="lien", placed_at=NOW)
    assert load_is_held(load=load)


def test_the_same_load_twice_is_one_and_other_company_is_another(branch):
    first, second = release_made(branch), second_made(branch)
    truck, dock = truck_made(branch), dock_made(branch)
    told = {"release": first, "truck": truck, "dock": dock, "reference": "L", "distance_km": 1}
    load = load_create(**told, besides=[second])
    assert load_create(**told, besides=[second]) == load
    with pytest.raises(ReferenceTaken):
        load_create(**told)


def test_a_shipment_is_aboard_once(branch):
    first = release_made(branch)
    again = Release.objects.create(shipment=first.shipment, reference="REL-2", receiver_name="R")
    with pytest.raises(DocumentInvalid) as caught:
        load_made(branch, release=first, besides=[again])
    assert [fault.pointer for fault in caught.value.faults] == ["/besides"]


def test_another_branch_s_release_does_not_come_along(branch):
    south = Branch.objects.create(code="SOUTH", name="South")
    with pytest.raises(BranchesDiffer):
        load_made(branch, besides=[second_made(south)])


def test_by_the_api(client, dispatcher, branch):
    client.force_login(dispatcher)
    told = {
        "reference": "L-2",
        "release": release_made(branch).pk,
        "besides": [second_made(branch).pk],
        "truck": truck_made(branch).pk,
        "dock": dock_made(branch).pk,
        "distance_km": 1,
    }
    made = client.post("/api/loads/", told, content_type="application/json")
    assert (made.status_code, made.json()["besides"]) == (201, told["besides"])
    strange = told | {"reference": "L-3", "besides": [987_654]}
    assert client.post("/api/loads/", strange, content_type="application/json").status_code == 404
