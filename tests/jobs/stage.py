"""Rows for tests: a branch, its people, and the small load of `scenario` with its stored plan."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from inventory.models import Branch, Hold, Item, ItemTag, Release, Role, Shipment, User
from jobs.custody.accounting import open_tags
from jobs.models import CrewMember, Job
from jobs.selectors.custody import job_tags
from jobs.services import crew_member_put, events_record, job_create
from loading.models import Dock, Load, LoadPlan, PlanRun, Truck
from tests.jobs.reports import report
from tests.jobs.scenario import PLAN, REQUEST

DAY = date(2026, 3, 4)
NOW = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)


def make_branch(code: str = "NORTH") -> Branch:
    return Branch.objects.create(code=code, name=f"{code} warehouse", time_zone="America/Chicago")


def make_person(branch: Branch, name: str, kind: str) -> User:
    user = User.objects.create(username=name, branch=branch)
    Role.objects.create(user=user, branch=branch, kind=kind)
    return user


def make_load(branch: Branch) -> Load:
    shipment = Shipment.objects.create(
        branch=branch, lot_number="4410", label_color="blue", reference="SHP-0001"
    )
    return Load.objects.create(
        branch=branch,
        reference="small",
        release=Release.objects.create(shipment=shipment, reference="R1", receiver_name="carrier"),
        truck=_make_truck(branch),
        dock=Dock.objects.create(branch=branch, name="1", vault_spots=1, floor_mm2=5_000_000),
        distance_km=20,
        pad_mm=10,
    )


def make_piece(shipment: Shipment, tag: str = "001") -> Item:
    """A carton that stands loose."""
    item = Item.objects.create(
        shipment=shipment,
        name="carton",
        length_mm=600,
        width_mm=500,
        height_mm=400,
        weight_g=10_000,
        postures=["standing"],
        bears_g=50_000,
        carton=True,
    )
    ItemTag.objects.create(
        branch=shipment.branch,
        item=item,
        lot_number=shipment.lot_number,
        label_color=shipment.label_color,
        number=tag,
        assigned_at=NOW,
    )
    return item


def _make_truck(branch: Branch) -> Truck:
    truck = REQUEST["truck"]
    return Truck.objects.create(
        branch=branch,
        name=truck["name"],
        interior_length_mm=truck["interior_mm"][0],
        interior_width_mm=truck["interior_mm"][1],
        interior_height_mm=truck["interior_mm"][2],
        door_width_mm=truck["door_mm"][0],
        door_height_mm=truck["door_mm"][1],
        payload_g=truck["payload_kg"] * 1000,
        ride=truck["ride"],
        supports=truck["supports"],
    )


def make_load_at_another_dock(branch: Branch, steps: list[dict[str, Any]]) -> Load:
    """A load of another shipment with a plan that has only these steps."""
    shipment = Shipment.objects.create(
        branch=branch, lot_number="7", label_color="red", reference="SHP-2"
    )
    load = Load.objects.create(
        branch=branch,
        reference="other",
        release=Release.objects.create(shipment=shipment, reference="R2", receiver_name="carrier"),
        truck=Truck.objects.get(),
        dock=Dock.objects.create(branch=branch, name="2", vault_spots=1, floor_mm2=5_000_000),
        distance_km=20,
        pad_mm=10,
    )
    store_plan(load, PLAN | {"steps": steps})
    return load


def store_plan(
    load: Load, document: dict[str, Any] = PLAN, request: dict[str, Any] = REQUEST
) -> LoadPlan:
    run = PlanRun.objects.create(
        load=load,
        request_document=request,
        seed=1,
        budget_s=1,
        status="done",
        finished_at=NOW,
    )
    return LoadPlan.objects.create(
        load=load,
        version=load.plans.count() + 1,
        run=run,
        request_document=request,
        document=document,
        figures={},
        checked_at=NOW,
    )


def make_job(load: Load) -> Job:
    return job_create(
        load=load,
        day=DAY,
        window_start=NOW - timedelta(hours=1),
        window_end=NOW + timedelta(hours=4),
    )


def make_crew(job: Job) -> dict[str, CrewMember]:
    """Lou loads, Wim pulls vaults, Hanne and Hugo help."""
    parts = {"lou": "loader", "wim": "warehouse", "hanne": "helper", "hugo": "helper"}
    return {
        name: crew_member_put(job=job, user=make_person(job.branch, name, part), part=part)
        for name, part in parts.items()
    }


def account_for_all(job: Job, actor: User) -> None:
    """Say of every piece that it stays behind, so that the job can be closed."""
    waiting = open_tags(job_tags(job=job))
    events = [report("piece_left", tag=tag, note="called off") for tag in waiting]
    events_record(job=job, events=events, actor=actor, now=NOW)


def make_hold(load: Load) -> Hold:
    return Hold.objects.create(shipment=load.release.shipment, kind="unpaid_storage", placed_at=NOW)
