"""A branch with its people, and the small load of `scenario` with its stored plan."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from inventory.models import Branch, Hold, Release, Role, Shipment, User
from jobs.models import CrewMember, Job
from jobs.services import crew_member_put, job_accept_plan, job_create
from loading.models import Dock, Load, LoadPlan, PlanRun, Truck
from tests.jobs.scenario import PLAN, REQUEST

DAY = date(2026, 3, 4)
NOW = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)


@pytest.fixture
def branch(db: None) -> Branch:
    return Branch.objects.create(code="NORTH", name="North warehouse", time_zone="America/Chicago")


@pytest.fixture
def person(branch: Branch) -> Callable[..., User]:
    def make(name: str, kind: str, at: Branch | None = None) -> User:
        user = User.objects.create_user(username=name, password="a-long-word", branch=at or branch)
        Role.objects.create(user=user, branch=at or branch, kind=kind)
        return user

    return make


@pytest.fixture
def dispatcher(person: Callable[..., User]) -> User:
    return person("dana", "dispatcher")


@pytest.fixture
def stranger(person: Callable[..., User]) -> User:
    """A dispatcher of another branch."""
    south = Branch.objects.create(code="SOUTH", name="South warehouse")
    return person("sasha", "dispatcher", south)


@pytest.fixture
def load(branch: Branch) -> Load:
    shipment = Shipment.objects.create(
        branch=branch, lot_number="4410", label_color="blue", reference="SHP-0001"
    )
    release = Release.objects.create(shipment=shipment, reference="R1", receiver_name="carrier")
    truck = REQUEST["truck"]
    return Load.objects.create(
        branch=branch,
        reference="small",
        release=release,
        truck=Truck.objects.create(
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
        ),
        dock=Dock.objects.create(branch=branch, name="1", vault_spots=1, floor_mm2=4_000_000),
        distance_km=20,
        pad_mm=10,
    )


@pytest.fixture
def store_plan(load: Load) -> Callable[..., LoadPlan]:
    def store(
        document: dict[str, Any] = PLAN, request_document: dict[str, Any] = REQUEST
    ) -> LoadPlan:
        run = PlanRun.objects.create(
            load=load,
            request_document=request_document,
            seed=1,
            budget_s=1,
            status="done",
            finished_at=timezone.now(),
        )
        return LoadPlan.objects.create(
            load=load,
            version=load.plans.count() + 1,
            run=run,
            request_document=request_document,
            document=document,
            figures={},
            checked_at=NOW,
        )

    return store


@pytest.fixture
def plan(store_plan: Callable[..., LoadPlan]) -> LoadPlan:
    return store_plan()


@pytest.fixture
def job(load: Load) -> Job:
    return job_create(
        load=load,
        day=DAY,
        window_start=NOW - timedelta(hours=1),
        window_end=NOW + timedelta(hours=4),
    )


@pytest.fixture
def accepted(job: Job, plan: LoadPlan) -> Job:
    return job_accept_plan(job=job, plan=plan, by=None, now=NOW)


@pytest.fixture
def crew(accepted: Job, person: Callable[..., User]) -> dict[str, CrewMember]:
    """Lou loads, Wim pulls vaults, Hanne and Hugo help."""
    parts = {"lou": "loader", "wim": "warehouse", "hanne": "helper", "hugo": "helper"}
    return {
        name: crew_member_put(job=accepted, user=person(name, part), part=part)
        for name, part in parts.items()
    }


@pytest.fixture
def hold(load: Load) -> Hold:
    return Hold.objects.create(shipment=load.release.shipment, kind="unpaid_storage", placed_at=NOW)
