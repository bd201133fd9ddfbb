"""What a job's events say of its pads, brought into the ledger when the job closes."""

from collections.abc import Iterator
from datetime import datetime
from uuid import uuid5

from jobs.folding.pads import STORAGE_STACK
from jobs.folding.state import STORED, State, pads_in_truck
from jobs.models import Job
from jobs.selectors.states import job_state
from loading.ledger import Account, Equipment, PlaceKind
from loading.selectors import load_labels
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
    state = job_state(job=job)
    on_goods = Account(PlaceKind.JOB, load.reference)
    truck, warehouse = Account(PlaceKind.TRUCK, load.truck.name), Account(PlaceKind.WAREHOUSE)
    for name, source, target, count in (
        *_storage_pads(job, state, warehouse),
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


def _storage_pads(
    job: Job, state: State, warehouse: Account
) -> Iterator[tuple[str, Account, Account, int]]:
    """The storage pads that came off each shipment's pieces; what cannot be told apart came off the
    first one's."""
    first, *others = job.load.releases()
    left = state["pads"].get(STORAGE_STACK, 0)
    labels = load_labels(load=job.load, left=True)
    for other in others:
        off = sum(
            item.storage_pads or 0
            for item, label in labels
            if item.shipment_id == other.shipment_id
            and label in state["pieces"]
            and state["pieces"][label]["stage"] > STORED
        )
        left -= off
        account = Account(PlaceKind.STORAGE, other.shipment.reference)
        yield f"storage pads {other.shipment_id}", account, warehouse, off
    yield "storage pads", Account(PlaceKind.STORAGE, first.shipment.reference), warehouse, left
