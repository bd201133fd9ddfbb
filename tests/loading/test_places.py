"""Trucks, docks and loads: what gets in, what is refused and how it is told."""

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.models import Branch, Hold
from loading.errors import BranchesDiffer, DocumentInvalid, NameTaken, ReferenceTaken
from loading.models import Dock, Load, Truck
from loading.planner.request import parse_request
from loading.selectors import load_request_document
from tests.loading.scenario import (
    SUPPORTS,
    dock_made,
    load_made,
    release_made,
    truck_made,
)


def pointers(error: DocumentInvalid) -> set[str]:
    return {fault.pointer for fault in error.faults}


def test_same_truck_twice_is_one_truck(branch):
    assert truck_made(branch).pk == truck_made(branch).pk
    assert Truck.objects.count() == 1


def test_other_truck_of_that_name_is_refused(branch):
    truck_made(branch)
    with pytest.raises(NameTaken) as caught:
        truck_made(branch, payload_g=1_000_000)
    assert caught.value.name == "Truck 7"


def test_two_branches_may_use_one_name(branch):
    other = Branch.objects.create(code="south", name="South")
    assert truck_made(branch).pk != truck_made(other).pk


@pytest.mark.parametrize(
    ("changed", "pointer"),
    [
        ({"interior_mm": (0, 1000, 1000)}, "/interior_mm/0"),
        ({"interior_mm": (3000, -5, 1000)}, "/interior_mm/1"),
        ({"payload_g": 0}, "/payload_kg"),
        ({"ride": "bouncy"}, "/ride"),
        ({"supports": SUPPORTS[:1]}, "/supports"),
        ({"supports": [SUPPORTS[0], {**SUPPORTS[1], "limit_kg": "much"}]}, "/supports/1/limit_kg"),
        ({"blocked": [{"name": "box", "at_mm": [0, 0, 0]}]}, "/blocked/0/size_mm"),
        (
            {"blocked": [{"name": "all", "at_mm": [0, 0, 0], "size_mm": [3000, 1000, 1000]}]},
            "/blocked/0",
        ),
        ({"door_mm": (1001, 900)}, "/door_mm/0"),
        ({"door_mm": (900, 1001)}, "/door_mm/1"),
    ],
)
def test_bad_truck_is_told_by_its_key_and_not_stored(branch, changed, pointer):
    with pytest.raises(DocumentInvalid) as caught:
        truck_made(branch, **changed)
    assert pointers(caught.value) == {pointer}
    assert not Truck.objects.exists()


def test_every_fault_of_a_truck_is_told_at_once(branch):
    with pytest.raises(DocumentInvalid) as caught:
        truck_made(branch, ride="bouncy", interior_mm=(0, 1000, 1000))
    assert pointers(caught.value) == {"/ride", "/interior_mm/0"}


@pytest.mark.parametrize(
    ("changed", "pointer"), [({"vault_spots": 0}, "/vault_spots"), ({"floor_mm2": 0}, "/floor_m2")]
)
def test_dock_without_room_is_refused(branch, changed, pointer):
    with pytest.raises(DocumentInvalid) as caught:
        dock_made(branch, **changed)
    assert pointers(caught.value) == {pointer}
    assert not Dock.objects.exists()


@pytest.mark.parametrize(
    "column", ["interior_length_mm", "interior_width_mm", "interior_height_mm", "payload_g"]
)
def test_database_refuses_a_truck_without_room(branch, column):
    truck = truck_made(branch)
    with pytest.raises(IntegrityError), transaction.atomic():
        Truck.objects.filter(pk=truck.pk).update(**{column: 0})


@pytest.mark.parametrize("supports", [[], SUPPORTS[:1], [*SUPPORTS, SUPPORTS[0]]])
def test_database_demands_two_supports(branch, supports):
    truck = truck_made(branch)
    with pytest.raises(IntegrityError), transaction.atomic():
        Truck.objects.filter(pk=truck.pk).update(supports=supports)


def test_load_makes_a_request_that_can_be_planned(load):
    request = parse_request(load_request_document(load=load))
    assert request.name == "LOAD-0001"
    assert request.truck.payload_g == 2_000_000
    assert request.dock.floor_mm2 == 10_000_000
    assert request.vault_of("001") == "V1"
    assert request.vault_of("003") is None
    assert [other.code for other in request.other_vaults] == ["X9"]


def test_same_load_twice_is_one_load_and_another_is_refused(branch):
    given = {"release": release_made(branch)}
    first = load_made(branch, **given)
    assert load_made(branch, **given) == first
    with pytest.raises(ReferenceTaken):
        load_made(branch, **given, distance_km=900)
    assert Load.objects.count() == 1


def test_held_shipment_can_be_put_on_a_load(branch, dispatcher):
    release = release_made(branch)
    Hold.objects.create(
        shipment=release.shipment,
        kind="dispute",
        reason="size of the bill",
        placed_at=timezone.now(),
        placed_by=dispatcher,
    )
    assert load_made(branch, release=release).release == release


def test_truck_of_another_branch_is_refused(branch):
    south = Branch.objects.create(code="south", name="South")
    with pytest.raises(BranchesDiffer) as caught:
        load_made(branch, truck=truck_made(south))
    assert caught.value.branches == {"release": "north", "truck": "south", "dock": "north"}


def test_pull_order_with_an_unknown_vault_is_told_by_its_key(branch):
    with pytest.raises(DocumentInvalid) as caught:
        load_made(branch, pull_order=["V1", "V2"])
    assert pointers(caught.value) == {"/pull_order/1"}
    assert not Load.objects.exists()


def test_whether_shifted_vaults_go_back_is_the_branchs_wish(load):
    assert not parse_request(load_request_document(load=load)).shifted_go_back
    Branch.objects.update(shifted_go_back=True)
    load.branch.refresh_from_db()
    assert parse_request(load_request_document(load=load)).shifted_go_back
