"""The optional axles of a truck's record: stored, refused by their key, kept with a plan."""

import pytest
from django.db import IntegrityError, transaction

from loading.errors import DocumentInvalid
from loading.models import Truck
from loading.selectors import load_request_document
from tests.loading.scenario import load_made, truck_made

AXLES = [
    {"x_mm": -500, "tare_kg": 1000, "support": "front axle", "percent": 100},
    {"x_mm": 2000, "tare_kg": 500, "support": "rear axle", "percent": 50},
    {"x_mm": 3000, "tare_kg": 500, "support": "rear axle", "percent": 50, "limit_kg": 4000},
]


def test_a_truck_may_be_described_by_its_axles(branch):
    assert truck_made(branch, axles=AXLES).axles == AXLES
    assert truck_made(branch, axles=AXLES).pk == Truck.objects.get().pk


@pytest.mark.parametrize(
    ("axle", "pointer"),
    [
        ({"x_mm": None}, "/axles/2/x_mm"),
        ({"support": "kingpin"}, "/axles/2/support"),
        ({"percent": 49}, "/axles"),
        ({"tare_kg": 5000}, "/axles"),
    ],
)
def test_bad_axles_are_told_by_their_key_and_nothing_is_stored(branch, axle, pointer):
    with pytest.raises(DocumentInvalid) as caught:
        truck_made(branch, axles=[*AXLES[:2], {**AXLES[2], **axle}])
    assert {fault.pointer for fault in caught.value.faults} == {pointer}
    assert not Truck.objects.exists()


def test_the_database_takes_no_axles_but_a_list(branch):
    truck_made(branch)
    with pytest.raises(IntegrityError, match="truck_axles_is_list"), transaction.atomic():
        Truck.objects.update(axles={"x_mm": 1})


def test_a_request_carries_the_axles_of_its_truck_only_if_it_has_some(branch):
    load = load_made(branch)
    assert "axles" not in load_request_document(load=load)["truck"]
    Truck.objects.update(axles=AXLES)
    load.truck.refresh_from_db()
    assert load_request_document(load=load)["truck"]["axles"] == AXLES


def test_axles_go_in_and_come_out_by_the_api(client, dispatcher):
    client.force_login(dispatcher)
    truck = {
        "branch": "north",
        "name": "Tractor 2",
        "interior_mm": [3000, 1000, 1000],
        "door_mm": [1000, 1000],
        "payload_kg": 2000,
        "ride": "air",
        "supports": [
            {"name": "front axle", "x_mm": -500, "tare_kg": 1000, "limit_kg": 3000},
            {"name": "rear axle", "x_mm": 2500, "tare_kg": 1000, "limit_kg": 4000},
        ],
        "axles": AXLES,
    }
    answer = client.post("/api/trucks/", truck, content_type="application/json")
    assert (answer.status_code, answer.json()["axles"]) == (201, AXLES)

    bad = {**truck, "name": "Tractor 3", "axles": AXLES[1:]}
    refused = client.post("/api/trucks/", bad, content_type="application/json")
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "/axles"


STRAPS = [{"part": "webbing 2in", "limit_kg": None}, {"part": "ratchet", "limit_kg": 700}]


def test_straps_are_stored_refused_by_their_key_and_kept_with_a_request(branch):
    with pytest.raises(DocumentInvalid) as caught:
        truck_made(branch, straps=[{"part": "hope", "limit_kg": None}])
    assert [fault.pointer for fault in caught.value.faults] == ["/straps/0/part"]
    load = load_made(branch)
    assert "straps" not in load_request_document(load=load)["truck"]
    Truck.objects.update(straps=STRAPS)
    load.truck.refresh_from_db()
    assert load_request_document(load=load)["truck"]["straps"] == STRAPS
    with pytest.raises(IntegrityError, match="truck_straps_is_list"), transaction.atomic():
        Truck.objects.update(straps={"part": "strap"})
