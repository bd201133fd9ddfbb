"""Storing the scenario through the services that everything else uses.

Every key is derived from its name, so that storing it twice changes nothing.
"""

import json
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, UUID, uuid5
from zoneinfo import ZoneInfo

from django.db import transaction

from inventory.models import Branch, Release, Role, Shipment, User
from inventory.services import (
    ImportOrder,
    arrival_announce,
    catalogue_load,
    hold_place,
    inventory_import,
    lane_create,
    release_create,
    release_identity_check,
)
from jobs.models import Job
from jobs.services import crew_member_put, job_create, job_plan, shift_put
from loading.models import Dock, Truck
from loading.planner.plan import LoadPlan, parse_plan
from loading.planner.request import LoadRequest
from loading.services import dock_create, load_create, plan_run_execute, truck_create

DATA = Path(__file__).parent / "data"

# For a warehouse that does not exist; every account of the scenario has it.
PASSWORD = "six-in-the-morning"

SHIFT, MEAL_AFTER, MEAL = timedelta(hours=9), timedelta(hours=4), timedelta(minutes=30)

Document = dict[str, Any]


@transaction.atomic
def scenario_load(*, now: datetime) -> list[Job]:
    """Store the warehouse, its people and a day, the day that `now` falls on; give its two jobs
    that are still to be planned. The third, `heavy_job`, has its plan (see `_heavy_load`)."""
    told: Document = json.loads((DATA / "scenario.json").read_text())
    catalogue_load()
    branch, _ = Branch.objects.get_or_create(
        code=told["branch"]["code"], defaults={**told["branch"]}
    )
    people = {person["username"]: _person(branch, person) for person in told["people"]}
    for lane in told["lanes"]:
        lane_create(branch=branch, **lane)
    shipments = {s["reference"]: _shipment(branch, s, people, now) for s in told["shipments"]}
    trucks = {truck["name"]: _truck(branch, truck) for truck in told["trucks"]}
    docks = {dock["name"]: _dock(branch, dock) for dock in told["docks"]}

    def job(told_job: Document) -> Job:
        return _job(
            told_job,
            release=_release(shipments[told_job["shipment"]], told_job, people["dana"], now),
            truck=trucks[told_job["truck"]],
            dock=docks[told_job["dock"]],
            people=people,
            now=now,
        )

    for told_vault in told["inbound"]:
        _inbound(branch, told_vault, people["dana"], now)
    jobs = [job(told_job) for told_job in told["jobs"]]
    _heavy_load(job(told["heavy_job"]), told["heavy_job"], now)
    return jobs


def _heavy_load(job: Job, told: Document, now: datetime) -> None:
    """A plan that keeps all rules, and yet overloads the front axle after its first stop: what is
    delivered there stands behind the rear axle. Its road sheet proposes what mends that."""
    run = job_plan(job=job, seed=1, budget_s=1, run_id=_key("run", told["load"]), send=False)
    plan = parse_plan(json.loads((DATA / told["plan"]).read_text()))

    def known_plan(request: LoadRequest, **_how: object) -> LoadPlan:
        return replace(plan, request=request.name)

    plan_run_execute(run_id=run.id, worker="scenario", now=now, search=known_plan)


def _person(branch: Branch, told: Document) -> User:
    user = User.objects.filter(username=told["username"]).first()
    if user is None:
        user = User.objects.create_user(
            username=told["username"],
            password=PASSWORD,
            first_name=told["first_name"],
            last_name=told["last_name"],
            branch=branch,
            units=told.get("units", "imperial"),
            language=told.get("language", "en"),
        )
    for kind in told["roles"]:
        Role.objects.get_or_create(user=user, branch=branch, kind=kind)
    return user


def _shipment(branch: Branch, told: Document, people: dict[str, User], now: datetime) -> Shipment:
    order = ImportOrder(
        branch=branch,
        reference=told["reference"],
        lot_number=told["lot_number"],
        label_color=told["label_color"],
        filename=told["file"],
    )
    batch, _ = inventory_import(order=order, data=(DATA / told["file"]).read_bytes(), now=now)
    if hold := told.get("hold"):
        hold_place(
            shipment=batch.shipment,
            kind=hold["kind"],
            reason=hold["reason"],
            by=people[hold["by"]],
            uuid=_key("hold", told["reference"]),
            now=now,
        )
    return batch.shipment


def _truck(branch: Branch, told: Document) -> Truck:
    return truck_create(
        branch=branch,
        name=told["name"],
        interior_mm=tuple(told["interior_mm"]),
        door_mm=tuple(told["door_mm"]),
        payload_g=told["payload_kg"] * 1000,
        ride=told["ride"],
        supports=told["supports"],
        blocked=told["blocked"],
        pads=told["pads"],
        axles=told.get("axles", ()),
        straps=told.get("straps", ()),
    )


def _dock(branch: Branch, told: Document) -> Dock:
    return dock_create(
        branch=branch,
        name=told["name"],
        vault_spots=told["vault_spots"],
        floor_mm2=round(told["floor_m2"] * 1_000_000),
    )


def _release(shipment: Shipment, told: Document, by: User, now: datetime) -> Release:
    release = release_create(
        shipment=shipment,
        reference=told["release"],
        receiver_name=told["receiver"],
        uuid=_key("release", told["load"]),
        now=now,
    )
    return release_identity_check(release=release, by=by, now=now)


def _inbound(branch: Branch, told: Document, by: User, now: datetime) -> None:
    arrival_announce(
        arrival_id=_key("arrival", told["vault"]),
        branch=branch,
        code=told["vault"],
        expected_at=_half_hour_before(now) + timedelta(minutes=told["at_min"]),
        now=now,
        by=by,
    )


def _half_hour_before(moment: datetime) -> datetime:
    """The day begins when it is looked at, at whatever hour: else all of it would be over."""
    return moment.replace(minute=moment.minute // 30 * 30, second=0, microsecond=0)


def _job(
    told: Document,
    *,
    release: Release,
    truck: Truck,
    dock: Dock,
    people: dict[str, User],
    now: datetime,
) -> Job:
    load = load_create(
        release=release,
        truck=truck,
        dock=dock,
        reference=told["load"],
        distance_km=told["distance_km"],
    )
    begins = _half_hour_before(now.astimezone(ZoneInfo(truck.branch.time_zone)))
    begin, end = (begins + timedelta(minutes=told[key]) for key in ("from_min", "to_min"))
    job = job_create(
        load=load,
        day=begins.date(),
        window_start=begin,
        window_end=end,
        job_id=_key("job", told["load"]),
    )
    for part, usernames in told["crew"].items():
        for username in usernames:
            crew_member_put(job=job, user=people[username], part=part)
            shift_put(
                branch=job.branch,
                person=people[username],
                day=job.day,
                hours=(begins, begins + SHIFT),
                breaks=[(begins + MEAL_AFTER, begins + MEAL_AFTER + MEAL)],
                now=now,
            )
    return job


def _key(kind: str, name: str) -> UUID:
    return uuid5(NAMESPACE_URL, f"https://scenario.invalid/{kind}/{name}")
