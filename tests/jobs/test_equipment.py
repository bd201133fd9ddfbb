"""A job's pads come into the ledger when it closes, and keep it open while some are missing."""

from uuid import UUID

import pytest

from inventory.models import User
from jobs.models import Job
from jobs.services import events_record, job_close
from loading.errors import EquipmentUnexplained
from loading.ledger import Account, Equipment, PlaceKind
from loading.selectors.equipment import equipment_balances
from loading.services import equipment_count_record
from tests.jobs.reports import report
from tests.jobs.stage import NOW, account_for_all

PAD = Equipment.PAD


def test_closing_brings_the_pads_of_the_day_into_the_ledger(
    accepted: Job, dispatcher: User
) -> None:
    seen = [
        report("piece_unpacked", tag="001", storage_pads_off=2, moving_pads_on=3),
        report("piece_unpacked", tag="002", storage_pads_off=1, moving_pads_on=0),
        report("piece_wrapped", tag="002", moving_pads_on=4),
    ]
    events_record(job=accepted, events=seen, actor=dispatcher, now=NOW)
    load = accepted.load
    account_for_all(accepted, dispatcher)
    job_close(job=accepted, now=NOW)
    job_close(job=accepted, now=NOW)

    found = equipment_balances(branch_id=accepted.branch_id)
    shipment = load.release.shipment.reference
    assert found == {
        (Account(PlaceKind.JOB, load.reference), PAD): 7,
        (Account(PlaceKind.STORAGE, shipment), PAD): -3,
        (Account(PlaceKind.TRUCK, load.truck.name), PAD): -7,
        (Account(PlaceKind.WAREHOUSE), PAD): 3,
    }
    assert sum(found.values()) == 0


def test_a_difference_that_nobody_explains_keeps_the_job_open(
    accepted: Job, dispatcher: User
) -> None:
    account_for_all(accepted, dispatcher)
    equipment_count_record(
        count_id=UUID(int=1), load=accepted.load, equipment=PAD, count=2, now=NOW
    )
    with pytest.raises(EquipmentUnexplained, match="2 pad too many"):
        job_close(job=accepted, now=NOW)
    accepted.refresh_from_db()
    assert accepted.status != Job.Status.CLOSED
