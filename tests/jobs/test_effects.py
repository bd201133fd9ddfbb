"""What events change in storage: the map of the warehouse, tags, the truck."""

from typing import Any

import pytest

from inventory.models import ItemTag, Lane, User, Vault
from jobs.models import Event, Job
from jobs.services import events_record
from loading.models import Load, Truck
from tests.jobs import stage
from tests.jobs.reports import report
from tests.jobs.stage import NOW

Cell = tuple[str, int, int] | None


@pytest.fixture
def yard(accepted: Job) -> Job:
    """Storage as the scenario has it: V1 with X9 on top in L1, V2 behind it, L2 empty."""
    branch, shipment = accepted.branch, accepted.load.release.shipment
    lanes = {
        name: Lane.objects.create(branch=branch, name=name, depth=2, levels=2)
        for name in ("L1", "L2")
    }
    for code, depth, level in (("V1", 1, 1), ("X9", 1, 2), ("V2", 2, 1)):
        Vault.objects.create(
            branch=branch,
            code=code,
            shipment=shipment,
            lane=lanes["L1"],
            depth=depth,
            level=level,
        )
    return accepted


def _tell(job: Job, actor: User, *events: dict[str, Any]) -> None:
    events_record(job=job, events=events, actor=actor, now=NOW)


def _cell(code: str) -> Cell:
    vault = Vault.objects.get(code=code)
    if vault.lane is None or vault.depth is None or vault.level is None:
        return None
    return vault.lane.name, vault.depth, vault.level


def test_vaults_stand_where_people_put_them(yard: Job, dispatcher: User) -> None:
    _tell(
        yard,
        dispatcher,
        report("vault_moved", vault="X9", lane="L2"),
        report("vault_pulled", vault="V1"),
    )
    assert (_cell("X9"), _cell("V1"), _cell("V2")) == (("L2", 2, 1), None, ("L1", 2, 1))
    _tell(yard, dispatcher, report("vault_stored", vault="V1", lane="L2"))
    assert _cell("V1") == ("L2", 2, 2)


def test_a_report_taken_back_puts_the_vault_back(yard: Job, dispatcher: User) -> None:
    moved, pulled = report("vault_moved", vault="X9", lane="L2"), report("vault_pulled", vault="V1")
    _tell(yard, dispatcher, moved, pulled)
    _tell(yard, dispatcher, report("undone", event=pulled["uuid"]))
    assert _cell("V1") == ("L1", 1, 1)
    _tell(yard, dispatcher, report("undone", event=moved["uuid"]))
    assert _cell("X9") == ("L1", 1, 2)


def test_a_report_that_comes_twice_moves_the_vault_once(yard: Job, dispatcher: User) -> None:
    moved = report("vault_moved", vault="X9", lane="L2")
    _tell(yard, dispatcher, moved, moved)
    _tell(yard, dispatcher, moved)
    assert _cell("X9") == ("L2", 2, 1)


def test_what_storage_cannot_follow_is_recorded_all_the_same(yard: Job, dispatcher: User) -> None:
    """A lane that is full takes no more in the books; the vault stands in none then."""
    Lane.objects.filter(name="L2").update(depth=1, levels=1)
    _tell(yard, dispatcher, report("vault_moved", vault="X9", lane="L2"))
    answers = events_record(
        job=yard,
        events=[report("vault_moved", vault="V1", lane="L2")],
        actor=dispatcher,
        now=NOW,
    )
    assert [answer.answer for answer in answers] == ["recorded"]
    assert (_cell("X9"), _cell("V1")) == (("L2", 1, 1), None)


def test_a_new_tag_is_on_the_piece_in_storage_too(accepted: Job, dispatcher: User) -> None:
    item = stage.make_piece(accepted.load.release.shipment)
    _tell(accepted, dispatcher, report("piece_retagged", tag="001", number="701"))
    assert item.tag == "701"
    assert ItemTag.objects.get(number="001").replaced_at == NOW


def test_a_new_tag_that_another_shipments_piece_has_is_recorded_and_not_followed(
    accepted: Job, dispatcher: User
) -> None:
    item = stage.make_piece(accepted.load.release.shipment)
    stage.make_piece(accepted.load.release.shipment, tag="990")
    _tell(accepted, dispatcher, report("piece_retagged", tag="001", number="990"))
    assert item.tag == "001"
    assert Event.objects.get(kind="piece_retagged").outcome == "recorded"


def test_another_truck_is_the_loads_truck(accepted: Job, dispatcher: User) -> None:
    truck = Truck.objects.get()
    truck.pk, truck.name = None, "other"
    truck.save()
    _tell(accepted, dispatcher, report("truck_changed", truck=truck.pk))
    assert Load.objects.get(pk=accepted.load_id).truck == truck


def test_the_truck_of_another_branch_is_not_taken(accepted: Job, dispatcher: User) -> None:
    truck = Truck.objects.get()
    former = truck.pk
    truck.pk, truck.branch = None, stage.make_branch("SOUTH")
    truck.save()
    _tell(accepted, dispatcher, report("truck_changed", truck=truck.pk))
    assert Load.objects.get(pk=accepted.load_id).truck_id == former
