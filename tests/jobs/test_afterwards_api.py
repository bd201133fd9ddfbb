"""What is left to do when trucks have gone, said and taken back over HTTP."""

from typing import Any
from uuid import UUID, uuid4

import pytest
from django.test import Client

from inventory.models import Branch, Item, Lane, LoosePlace, User, Vault
from jobs.models import Event, Job
from jobs.services import job_close
from loading.ledger import Account, Equipment, PlaceKind
from loading.selectors.equipment import equipment_balances
from loading.services import equipment_move
from tests.jobs.stage import NOW, make_person, make_piece

WHERE = "/api/afterwards/"


@pytest.fixture
def lane(branch: Branch) -> Lane:
    return Lane.objects.create(branch=branch, name="E1", depth=2, levels=2)


def say(
    client: Client, branch: Branch, kind: str, uuid: UUID | None = None, **payload: Any
) -> tuple[int, dict[str, Any]]:
    sent = {"uuid": str(uuid or uuid4()), "branch": branch.code, "kind": kind, "payload": payload}
    answer = client.post(WHERE, sent, content_type="application/json")
    return answer.status_code, answer.json()


def take_back(client: Client, branch: Branch, said: dict[str, Any]) -> tuple[int, str]:
    status, told = say(client, branch, "taken_back", event=said["uuid"])
    return status, told.get("reason", "")


def left(client: Client) -> dict[str, Any]:
    (work,) = client.get(WHERE).json()
    return work


def stands(vault: Vault) -> tuple[Any, ...]:
    vault.refresh_from_db()
    return vault.upkeep, vault.upkeep_note, str(vault.lane or ""), vault.depth, vault.level


def test_what_is_left_and_what_was_done(branch: Branch, empty: Vault, warehouse: Client) -> None:
    assert [vault["code"] for vault in left(warehouse)["sweep"]] == ["V-7"]
    status, said = say(warehouse, branch, "vault_swept", vault="V-7", mend="left hinge")
    assert (status, said["payload"], said["actor"]) == (
        *(201, {"vault": "V-7", "mend": "left hinge"}, "wim"),
    )
    work = left(warehouse)
    assert (work["branch"], work["sweep"]) == (branch.code, [])
    assert [vault["upkeep_note"] for vault in work["mend"]] == ["left hinge"]
    assert [(one["kind"], one["may_be_taken_back"]) for one in work["done"]] == [
        ("vault_swept", True)
    ]


def test_each_step_of_a_vault_is_taken_back_in_turn(
    branch: Branch, empty: Vault, lane: Lane, warehouse: Client
) -> None:
    said = [
        say(warehouse, branch, "vault_swept", vault="V-7", mend="hinge")[1],
        say(warehouse, branch, "vault_mended", vault="V-7")[1],
        say(warehouse, branch, "vault_stowed", vault="V-7", lane="E1")[1],
    ]
    assert stands(empty) == ("", "", "E1", 2, 1)
    assert take_back(warehouse, branch, said[0]) == (409, "more was reported since")
    assert take_back(warehouse, branch, said[2])[0] == 201
    assert stands(empty) == ("", "", "", None, None)
    assert take_back(warehouse, branch, said[2]) == (409, "it was taken back already")
    assert take_back(warehouse, branch, said[1])[0] == 201
    assert stands(empty) == ("mend", "hinge", "", None, None)
    assert take_back(warehouse, branch, said[0])[0] == 201
    assert stands(empty) == ("sweep", "", "", None, None)
    assert [(one["taken_back"], one["may_be_taken_back"]) for one in left(warehouse)["done"]] == [
        *[(True, False)] * 3,
    ]
    # It can be said anew.
    assert say(warehouse, branch, "vault_swept", vault="V-7")[0] == 201
    assert stands(empty) == ("", "", "", None, None)


def test_a_vault_goes_back_to_the_lane_that_it_was_taken_from(
    branch: Branch, lane: Lane, warehouse: Client
) -> None:
    other = Lane.objects.create(branch=branch, name="B1", depth=1, levels=1)
    vault = Vault.objects.create(branch=branch, code="V-8", lane=other, depth=1, level=1)
    said = say(warehouse, branch, "vault_stowed", vault="V-8", lane="E1")[1]
    assert take_back(warehouse, branch, said)[0] == 201
    assert stands(vault) == ("", "", "B1", 1, 1)


@pytest.mark.parametrize("place", [{"depth": 2, "level": 2}, {"depth": 1, "level": 1}])
def test_a_vault_under_or_behind_another_is_not_taken_out(
    branch: Branch, empty: Vault, lane: Lane, warehouse: Client, place: dict[str, int]
) -> None:
    said = say(warehouse, branch, "vault_stowed", vault="V-7", lane="E1")[1]
    Vault.objects.create(branch=branch, code="X1", lane=lane, **place)
    assert take_back(warehouse, branch, said) == (*(409, "vault X1 stands on it or ahead of it"),)
    assert stands(empty)[2:] == ("E1", 2, 1)


def test_what_changed_meanwhile_is_not_undone(
    branch: Branch, empty: Vault, warehouse: Client
) -> None:
    said = say(warehouse, branch, "vault_swept", vault="V-7")[1]
    Vault.objects.filter(pk=empty.pk).update(upkeep="sweep")
    assert take_back(warehouse, branch, said) == (409, "it stands otherwise now")
    assert take_back(warehouse, branch, {"uuid": str(uuid4())}) == (
        *(409, "nobody has reported that"),
    )
    assert Event.objects.count() == 1


def test_a_piece_goes_back_into_its_vault(branch: Branch, job: Job, warehouse: Client) -> None:
    shipment = job.load.release.shipment
    vault = Vault.objects.create(branch=branch, code="V1", shipment=shipment)
    piece = make_piece(shipment)
    Item.objects.filter(pk=piece.pk).update(vault=vault, vault_position=3)
    first = say(warehouse, branch, "piece_put", item=piece.pk, place="rack 3")[1]
    second = say(warehouse, branch, "piece_put", item=piece.pk, place="rack 4")[1]
    assert take_back(warehouse, branch, second)[0] == 201
    piece.refresh_from_db()
    assert str(piece.loose_place) == "rack 3"
    log = warehouse.get(f"/office/pieces/{piece.pk}/").content.decode()
    assert "rack 3" in log
    assert "rack 4" not in log
    assert take_back(warehouse, branch, first)[0] == 201
    piece.refresh_from_db()
    assert (piece.vault, piece.vault_position, piece.loose_place) == (vault, 3, None)


def test_a_piece_stays_where_its_vault_is_no_longer_the_shipments(
    branch: Branch, job: Job, warehouse: Client
) -> None:
    shipment = job.load.release.shipment
    vault = Vault.objects.create(branch=branch, code="V1", shipment=shipment)
    piece = make_piece(shipment)
    Item.objects.filter(pk=piece.pk).update(vault=vault, vault_position=1)
    said = say(warehouse, branch, "piece_put", item=piece.pk, place="rack 3")[1]
    Vault.objects.filter(pk=vault.pk).update(shipment=None)
    status, told = say(warehouse, branch, "taken_back", event=said["uuid"])
    assert (status, told["detail"]) == (422, "vault: its place in vault V1 is gone")
    piece.refresh_from_db()
    assert str(piece.loose_place) == "rack 3"


def test_equipment_goes_back_onto_the_goods_by_both_sides(
    branch: Branch, job: Job, warehouse: Client
) -> None:
    goods = Account(PlaceKind.JOB, job.load.reference)
    truck = Account(PlaceKind.TRUCK, job.load.truck.name)
    equipment_move(
        movement_id=uuid4(),
        branch=branch,
        equipment=Equipment.PAD,
        source=truck,
        target=goods,
        count=20,
        now=NOW,
    )
    job_close(job=job, now=NOW)
    before = equipment_balances(branch_id=branch.pk)
    came: dict[str, Any] = {"load": job.load.reference, "equipment": "pad"}
    said = say(warehouse, branch, "equipment_came_back", **came, home=14, wash=4)[1]
    say(warehouse, branch, "equipment_came_back", **came, lost=2, note="torn")
    assert left(warehouse)["equipment"] == []
    assert take_back(warehouse, branch, said)[0] == 201
    assert left(warehouse)["equipment"] == [{**came, "count": 18}]
    found = equipment_balances(branch_id=branch.pk)
    assert sum(found.values()) == sum(before.values()) == 0
    assert found[Account(PlaceKind.LOST), Equipment.PAD] == 2


def test_said_twice_is_once_and_a_key_stands_for_one_thing(
    branch: Branch, empty: Vault, warehouse: Client
) -> None:
    key, back = uuid4(), uuid4()
    for _ in range(2):
        assert say(warehouse, branch, "vault_swept", key, vault="V-7")[0] == 201
    assert say(warehouse, branch, "vault_swept", key, vault="V-7", mend="door")[0] == 409
    for _ in range(2):
        assert say(warehouse, branch, "taken_back", back, event=str(key))[0] == 201
    assert [event.kind for event in Event.objects.order_by("sequence")] == [
        *("vault_swept", "taken_back"),
    ]


@pytest.mark.parametrize(
    ("kind", "payload", "pointer"),
    [
        ("vault_swept", {}, "/payload/vault"),
        ("vault_swept", {"vault": "V-0"}, "/payload/vault"),
        ("vault_stowed", {"vault": "V-7", "lane": "Z9"}, "/lane"),
        ("piece_put", {"item": 10**6, "place": "rack"}, "/payload/item"),
        ("piece_put", {"item": 1}, "/payload/place"),
        ("equipment_came_back", {"load": "L-0", "equipment": "pad"}, "/payload/load"),
        ("equipment_came_back", {"load": "L-0", "equipment": "rope"}, "/payload/equipment"),
        ("taken_back", {"event": "yesterday"}, "/payload/event"),
        ("vault_burnt", {"vault": "V-7"}, "/kind"),
    ],
)
def test_bad_input_names_its_key(
    branch: Branch,
    empty: Vault,
    warehouse: Client,
    kind: str,
    payload: dict[str, Any],
    pointer: str,
) -> None:
    status, told = say(warehouse, branch, kind, **payload)
    assert (status, [fault["pointer"] for fault in told["errors"]]) == (422, [pointer])
    assert not Event.objects.exists()


def test_the_page_takes_back_too(branch: Branch, empty: Vault, warehouse: Client) -> None:
    said = say(warehouse, branch, "vault_swept", vault="V-7")[1]
    where = f"/afterwards/{branch.code}/"
    shown = warehouse.get(where).content.decode()
    assert f'name="event" value="{said["uuid"]}"' in shown
    sent = {"uuid": str(uuid4()), "event": said["uuid"]}
    shown = warehouse.post(f"{where}back/", sent, follow=True).content.decode()
    assert stands(empty)[0] == "sweep"
    assert "<del>vault swept V-7</del> · taken back" in shown
    assert "Take it back" not in shown
    sent = {"uuid": str(uuid4()), "event": said["uuid"]}
    shown = warehouse.post(f"{where}back/", sent, follow=True).content.decode()
    assert "cannot be taken back: it was taken back already" in shown


def test_who_may(branch: Branch, empty: Vault, lane: Lane, stranger: User) -> None:
    helper, outside = Client(), Client()
    helper.force_login(make_person(branch, "hal", "helper"))
    outside.force_login(stranger)
    assert helper.get(WHERE).json()[0]["branch"] == branch.code
    assert say(helper, branch, "vault_swept", vault="V-7")[0] == 403
    assert branch.code not in [work["branch"] for work in outside.get(WHERE).json()]
    assert say(outside, branch, "vault_swept", vault="V-7")[0] == 422
    assert Client().get(WHERE).status_code == 401
    assert not LoosePlace.objects.exists()
    assert not Event.objects.exists()
