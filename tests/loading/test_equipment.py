"""The ledger of pads and equipment: stored, told, and settled when a job closes."""

from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from django.db import IntegrityError, transaction
from django.test import Client

from loading.errors import EquipmentRefused, EquipmentUnexplained, EquipmentUuidReused
from loading.ledger import Account, Equipment, PlaceKind
from loading.models import EquipmentCount, EquipmentMovement
from loading.selectors.equipment import (
    demand_equipment_explained,
    equipment_balances,
    equipment_ledger,
    load_equipment,
)
from loading.services import (
    equipment_count_record,
    equipment_move,
    load_pads_open,
    plan_run_create,
    plan_run_execute,
)
from tests.loading.scenario import NOW, HandSearch

ONE = UUID(int=1)
WAREHOUSE, LOST = Account(PlaceKind.WAREHOUSE), Account(PlaceKind.LOST)
TRUCK = Account(PlaceKind.TRUCK, "Truck 7")


def moved(branch, **changed: object) -> EquipmentMovement:
    given: dict[str, object] = {
        "movement_id": uuid4(),
        "branch": branch,
        "equipment": Equipment.PAD,
        "source": WAREHOUSE,
        "target": TRUCK,
        "count": 120,
        "now": NOW,
    }
    return equipment_move(**(given | changed))


def counted(
    load, count: int, equipment: Equipment = Equipment.PAD, *, minute: int = 0
) -> EquipmentCount:
    return equipment_count_record(
        count_id=uuid4(),
        load=load,
        equipment=equipment,
        count=count,
        now=NOW + timedelta(minutes=minute),
    )


def test_a_movement_arrives_twice_and_counts_once(branch):
    moved(branch, movement_id=ONE)
    moved(branch, movement_id=ONE)
    assert equipment_balances(branch_id=branch.pk) == {
        (TRUCK, Equipment.PAD): 120,
        (WAREHOUSE, Equipment.PAD): -120,
    }


def test_the_same_uuid_for_something_else_is_refused(branch):
    moved(branch, movement_id=ONE)
    with pytest.raises(EquipmentUuidReused):
        moved(branch, movement_id=ONE, count=119)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"count": 0}, "count"),
        ({"target": WAREHOUSE}, "target"),
        ({"target": LOST}, "reason"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(branch, changed, field):
    with pytest.raises(EquipmentRefused) as caught:
        moved(branch, **changed)
    assert caught.value.field == field
    assert not EquipmentMovement.objects.exists()


def test_the_database_keeps_movements_as_they_were_written(branch):
    moved(branch)
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        EquipmentMovement.objects.update(count=1)
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        EquipmentMovement.objects.all().delete()


@pytest.mark.parametrize(
    ("columns", "constraint"),
    [
        ({"source_key": "x"}, "movement_places_have_keys"),
        ({"target_key": ""}, "movement_places_have_keys"),
        ({"target_kind": "lost", "target_key": ""}, "movement_loss_has_reason"),
        ({"target_kind": "warehouse", "target_key": ""}, "movement_moves_somewhere"),
        ({"count": 0}, "movement_moves_something"),
        ({"equipment": "spoon"}, "movement_equipment_known"),
        ({"source_kind": "moon"}, "movement_places_known"),
    ],
)
def test_the_database_refuses_what_cannot_be(branch, columns, constraint):
    row = {
        "branch": branch,
        "equipment": "pad",
        "source_kind": "warehouse",
        "target_kind": "truck",
        "target_key": "Truck 7",
        "count": 1,
        "moved_at": NOW,
    }
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        EquipmentMovement.objects.create(**(row | columns))


def test_a_difference_keeps_a_load_open_until_it_is_explained(load):
    moved(load.branch)
    demand_equipment_explained(load=load)
    counted(load, 118)
    with pytest.raises(EquipmentUnexplained, match="2 pad missing") as caught:
        demand_equipment_explained(load=load)
    assert caught.value.missing == {"pad": 2}
    moved(load.branch, source=TRUCK, target=LOST, count=2, reason="left at the last stop")
    demand_equipment_explained(load=load)


def test_the_latest_count_holds(load):
    moved(load.branch)
    counted(load, 118, minute=1)
    counted(load, 120, minute=2)
    counted(load, 117)
    demand_equipment_explained(load=load)
    counted(load, 3, Equipment.STRAP)
    with pytest.raises(EquipmentUnexplained, match="3 strap too many"):
        demand_equipment_explained(load=load)


def test_whether_the_pads_will_do_before_the_job_starts(load):
    load.release.shipment.items.update(wrap=False)
    assert load_equipment(load=load).pads_missing is None
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False)
    plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch())
    load.truck.pads = 30
    assert load_equipment(load=load).pads_on_board == 30
    moved(load.branch, count=20)
    told = load_equipment(load=load)
    assert (told.pads_on_board, told.pads_wrapped, told.pads_rolled, told.pads_missing) == (
        *(20, 0, 0, 0),
    )


def movement(**changed: object) -> dict[str, object]:
    return {
        "id": str(ONE),
        "branch": "north",
        "equipment": "pad",
        "source": {"kind": "warehouse"},
        "target": {"kind": "truck", "key": "Truck 7"},
        "count": 120,
        **changed,
    }


def test_movements_and_counts_by_the_api(client, helper, load):
    client.force_login(helper)
    for _ in range(2):
        answer = client.post(
            "/api/equipment-movements/", movement(), content_type="application/json"
        )
        assert (answer.status_code, answer.json()["count"]) == (201, 120)
    count = {"id": str(uuid4()), "load": load.pk, "equipment": "pad", "count": 119}
    answer = client.post("/api/equipment-counts/", count, content_type="application/json")
    assert answer.status_code == 201
    told = client.get(f"/api/loads/{load.pk}/equipment/").json()
    assert told["lines"][0] == {
        "equipment": "pad",
        "on_board": 120,
        "on_goods": 0,
        "counted": 119,
        "missing": 1,
    }
    assert len(client.get("/api/equipment-movements/").json()["results"]) == 1


@pytest.mark.parametrize(
    ("changed", "pointer"),
    [
        ({"count": 0}, "/count"),
        ({"equipment": "spoon"}, "/equipment"),
        ({"source": {"kind": "warehouse", "key": "x"}}, "/source/key"),
        ({"target": {"kind": "truck"}}, "/target/key"),
        ({"id": "one"}, "/id"),
    ],
)
def test_bad_movements_are_told_by_their_key(client, helper, changed, pointer):
    client.force_login(helper)
    answer = client.post(
        "/api/equipment-movements/", movement(**changed), content_type="application/json"
    )
    assert answer.status_code in (400, 422)
    assert pointer in {error["pointer"] for error in answer.json()["errors"]}


def test_other_branches_and_strangers_see_nothing(client, stranger, load):
    assert client.get("/api/equipment-movements/").status_code == 401
    client.force_login(stranger)
    moved(load.branch)
    assert client.get("/api/equipment-movements/").json()["results"] == []
    answer = client.post("/api/equipment-movements/", movement(), content_type="application/json")
    assert answer.status_code == 404
    assert client.get(f"/api/loads/{load.pk}/equipment/").status_code == 404


def test_the_ledgers_page_moves_pads_to_the_wash_and_home(load, dispatcher, stranger):
    client = Client()
    client.force_login(dispatcher)
    where = f"/loading/{load.branch.code}/equipment/"
    truck = f"truck:{load.truck.name}"
    moves = (
        ("outside:", "warehouse:", 100, ""),
        ("warehouse:", truck, 60, ""),
        (truck, "wash:", 5, "wet"),
        ("wash:", "warehouse:", 4, "dry again"),
        ("wash:", "lost:", 1, "torn"),
    )
    for number, (source, target, count, reason) in enumerate(moves, start=1):
        told = {
            "uuid": str(UUID(int=number)),
            "equipment": "pad",
            "count": count,
            "source": source,
            "target": target,
            "reason": reason,
        }
        assert client.post(where, told).status_code == 302
    shown = client.get(where).content.decode()
    assert "5 pads, truck: Truck 7 → wash: wet" in shown
    lines = {
        line.account.kind.value: line.counts[0]
        for line in equipment_ledger(branch_id=load.branch_id)
    }
    assert lines == {"outside": -100, "warehouse": 44, "truck": 55, "lost": 1}
    assert "more was taken than was there" not in shown
    client.post(where, {**told, "uuid": str(UUID(int=9)), "source": "wash:", "count": 3})
    assert "more was taken than was there" in client.get(where).content.decode()
    lost = {**told, "uuid": str(UUID(int=10)), "target": "lost:", "reason": ""}
    assert client.post(where, lost).status_code == 422
    other = Client()
    other.force_login(stranger)
    assert other.get(where).status_code == 404


def test_a_ledger_opens_with_the_trucks_pads_and_those_on_stored_goods(load):
    load.truck.pads = 60
    load.release.shipment.items.update(storage_pads=2)
    for _ in range(2):
        load_pads_open(load=load, now=NOW)
    found = equipment_balances(branch_id=load.branch_id)
    assert found == {
        (Account(PlaceKind.OUTSIDE), Equipment.PAD): -66,
        (Account(PlaceKind.STORAGE, "SHP-0001"), Equipment.PAD): 6,
        (Account(PlaceKind.TRUCK, "Truck 7"), Equipment.PAD): 60,
    }
    assert load_equipment(load=load).pads_on_board == 60


def test_what_somebody_told_of_a_place_is_not_opened_again(load):
    load.truck.pads = 60
    moved(load.branch, count=5)
    load_pads_open(load=load, now=NOW)
    assert load_equipment(load=load).pads_on_board == 5
