"""What a job's events say of its pads, brought into the ledger when the job closes."""

from datetime import datetime
from typing import cast
from uuid import uuid5

from jobs.folding.pads import STORAGE_STACK
from jobs.folding.state import State, pads_in_truck
from jobs.models import Job, JobState
from loading.ledger import Account, Equipment, PlaceKind
from loading.selectors.equipment import demand_equipment_explained
from loading.services import equipment_move, load_pads_open


def job_pads_settle(*, job: Job, now: datetime) -> None:
    """Bring the job's pads into the ledger: storage pads back to the warehouse, moving pads from
    the truck onto the goods. Called while the job is locked; twice changes nothing.

    Raises `EquipmentUnexplained` while a counted truck differs from its ledger.
    """
    load = job.load
    load_pads_open(load=load, now=now)
    demand_equipment_explained(load=load)
    stored = JobState.objects.filter(job=job).first()
    if stored is None:
        return
    state = cast(State, stored.state)
    storage = Account(PlaceKind.STORAGE, load.release.shipment.reference)
    on_goods = Account(PlaceKind.JOB, load.reference)
    truck, warehouse = Account(PlaceKind.TRUCK, load.truck.name), Account(PlaceKind.WAREHOUSE)
    for name, source, target, count in (
        ("storage pads", storage, warehouse, state["pads"].get(STORAGE_STACK, 0)),
        ("moving pads", truck, on_goods, pads_in_truck(state)),
    ):
        if count:
            # Below 0: more came off the goods than went onto them, so they go the other way.
            equipment_move(
                movement_id=uuid5(job.id, name),
                branch=job.branch,
                equipment=Equipment.PAD,
                source=source if count > 0 else target,
                target=target if count > 0 else source,
                count=abs(count),
                now=now,
            )
