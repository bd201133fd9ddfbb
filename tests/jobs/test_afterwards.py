"""When the truck has gone: vaults swept, mended, stowed; leftovers put away; equipment back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from uuid import uuid4

import pytest
from django.test import Client

from inventory.models import Item, Lane, Vault
from jobs.models import Event, Stream
from jobs.selectors.afterwards import branch_afterwards
from jobs.services import events_record, job_close
from loading.ledger import Account, Equipment, PlaceKind
from loading.selectors.equipment import equipment_balances
from loading.services import equipment_move
from tests.jobs.reports import report
from tests.jobs.stage import NOW, account_for_all, make_person, make_piece

if TYPE_CHECKING:
    from inventory.models import Branch, User
    from jobs.models import Job


@pytest.fixture
def lane(branch: Branch) -> Lane:
    return Lane.objects.create(branch=branch, name="E1", depth=1, levels=2)


def done(client: Client, branch: Branch, what: str, **told: Any) -> str:
    """Say that something is done, and give what the page shows then."""
    where = f"/afterwards/{branch.code}/"
    answer = client.post(f"{where}{what}/", {"uuid": str(uuid4()), **told}, follow=True)
    assert answer.status_code == 200
    return answer.content.decode()


def recorded(branch: Branch) -> list[tuple[str, int, Any]]:
    stream = Stream.objects.get(branch=branch, kind="warehouse")
    events = Event.objects.filter(stream=stream).order_by("sequence")
    return [(event.kind, event.sequence, event.payload) for event in events]


def test_a_vault_is_swept_mended_and_stowed(
    branch: Branch, empty: Vault, lane: Lane, warehouse: Client
) -> None:
    shown = done(warehouse, branch, "swept", vault=empty.pk, mend="left hinge")
    assert "left hinge" in shown
    assert "V-7 is mended" in shown
    assert "V-7 stands there" in done(warehouse, branch, "mended", vault=empty.pk)
    assert "Nothing is left to do." in done(
        warehouse, branch, "stowed", vault=empty.pk, lane=lane.name
    )
    empty.refresh_from_db()
    assert (empty.upkeep, empty.lane, empty.depth, empty.level) == ("", lane, 1, 1)
    to_sweep, to_mend = {"upkeep": "sweep", "note": ""}, {"upkeep": "mend", "note": "left hinge"}
    nowhere = {"lane": None, "depth": None, "level": None}
    assert recorded(branch) == [
        ("vault_swept", 1, {"vault": "V-7", "mend": "left hinge", "was": to_sweep}),
        ("vault_mended", 2, {"vault": "V-7", "was": to_mend}),
        ("vault_stowed", 3, {"vault": "V-7", "lane": "E1", "was": nowhere}),
    ]


def test_said_twice_is_done_once_and_a_key_stands_for_one_thing(
    branch: Branch, empty: Vault, warehouse: Client
) -> None:
    told = {"uuid": str(uuid4()), "vault": empty.pk}
    for _ in range(2):
        done(warehouse, branch, "swept", **told)
    assert "was already used" in done(warehouse, branch, "swept", **told, mend="door")
    assert [kind for kind, *_ in recorded(branch)] == ["vault_swept"]


def test_what_cannot_be_done_is_said_and_changes_nothing(
    branch: Branch, empty: Vault, lane: Lane, warehouse: Client
) -> None:
    for level in (1, 2):
        Vault.objects.create(branch=branch, code=f"X{level}", lane=lane, depth=1, level=level)
    Vault.objects.filter(pk=empty.pk).update(upkeep="")
    assert "is full" in done(warehouse, branch, "stowed", vault=empty.pk, lane=lane.name)
    assert not Event.objects.exists()


def test_what_came_out_and_stays_is_put_at_a_new_place(
    accepted: Job, dispatcher: User, warehouse: Client
) -> None:
    vault = Vault.objects.create(
        branch=accepted.branch, code="V1", shipment=accepted.load.release.shipment
    )
    piece = make_piece(vault.shipment)
    Item.objects.filter(pk=piece.pk).update(vault=vault, vault_position=1)
    events_record(
        job=accepted, events=[report("piece_unpacked", tag="001")], actor=dispatcher, now=NOW
    )
    account_for_all(accepted, dispatcher)
    job_close(job=accepted, now=NOW)
    work = branch_afterwards(branch=accepted.branch)
    assert ([item.pk for item in work.put], [one.code for one in work.sweep]) == (
        *([piece.pk], ["V1"]),
    )
    done(warehouse, accepted.branch, "put", item=piece.pk, place="rack 3")
    piece.refresh_from_db()
    assert (str(piece.loose_place), piece.vault) == ("rack 3", None)
    log = warehouse.get(f"/office/pieces/{piece.pk}/").content.decode()
    assert "piece put at a place 001, rack 3" in log
    assert not branch_afterwards(branch=accepted.branch).put


def test_a_vault_that_goods_went_back_into_waits_for_a_lane(
    accepted: Job, dispatcher: User, lane: Lane
) -> None:
    vault = Vault.objects.create(
        branch=accepted.branch, code="V1", shipment=accepted.load.release.shipment
    )
    piece = make_piece(vault.shipment)
    Item.objects.filter(pk=piece.pk).update(vault=vault, vault_position=1)
    assert not branch_afterwards(branch=accepted.branch).stow
    account_for_all(accepted, dispatcher)
    job_close(job=accepted, now=NOW)
    assert [one.code for one in branch_afterwards(branch=accepted.branch).stow] == ["V1"]


def test_equipment_comes_back_to_the_ledger_by_both_sides(
    job: Job, branch: Branch, warehouse: Client
) -> None:
    goods = Account(PlaceKind.JOB, job.load.reference)
    truck = Account(PlaceKind.TRUCK, job.load.truck.name)
    move = {"branch": branch, "equipment": Equipment.PAD, "now": NOW, "count": 20}
    equipment_move(movement_id=uuid4(), source=truck, target=goods, **move)
    assert not branch_afterwards(branch=branch).equipment
    job_close(job=job, now=NOW)
    back = {"load": job.load.pk, "equipment": "pad"}
    assert "needs a reason" in done(warehouse, branch, "equipment", **back, home=5, lost=1)
    assert "at least one must move" in done(warehouse, branch, "equipment", **back)
    done(warehouse, branch, "equipment", **back, home=14, wash=4, lost=1, reason="torn in two")
    page = warehouse.get(f"/afterwards/{branch.code}/").content.decode()
    assert "equipment came back small, pads, 14 home, 4 to the wash, 1 lost" in page
    found = {
        account.kind: count
        for (account, kind), count in equipment_balances(branch_id=branch.pk).items()
        if kind is Equipment.PAD
    }
    assert found == {
        PlaceKind.TRUCK: -20,
        PlaceKind.JOB: 1,
        PlaceKind.WAREHOUSE: 14,
        PlaceKind.WASH: 4,
        PlaceKind.LOST: 1,
    }
    (left,) = branch_afterwards(branch=branch).equipment
    assert (left.load, left.count) == (job.load, 1)


def test_who_may_read_and_who_may_do(branch: Branch, empty: Vault, stranger: User) -> None:
    where = f"/afterwards/{branch.code}/"
    helper = Client()
    helper.force_login(make_person(branch, "hal", "helper"))
    outside = Client()
    outside.force_login(stranger)
    asks = {"uuid": str(uuid4()), "vault": empty.pk}
    assert [helper.get(where).status_code, helper.post(f"{where}swept/", asks).status_code] == [
        *(200, 403),
    ]
    assert [outside.get(where).status_code, outside.post(f"{where}swept/", asks).status_code] == [
        *(404, 404),
    ]
    assert Client().get(where).status_code == 302
    assert not Event.objects.exists()


def test_a_piece_that_was_tagged_anew_leaves_with_the_load(accepted: Job, dispatcher: User) -> None:
    piece = make_piece(accepted.load.release.shipment)
    events = [report("piece_retagged", tag="001", number="301"), report("piece_loaded", tag="301")]
    events_record(job=accepted, events=events, actor=dispatcher, now=NOW)
    account_for_all(accepted, dispatcher)
    job_close(job=accepted, now=NOW)
    piece.refresh_from_db()
    assert piece.left_at == NOW
