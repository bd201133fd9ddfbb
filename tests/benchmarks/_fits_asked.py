"""What fits here? asked over the API, of a job of 300 pieces that is begun."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any
from uuid import uuid4

if TYPE_CHECKING:
    from inventory.models import User
    from jobs.models import Job
    from loading.models import Load
    from loading.planner.plan import LoadPlan
    from loading.planner.request import LoadRequest

PIECES, LOADED, VAULTS, OPEN, UNPACKED = 300, 40, 20, 2, 3
QUESTIONS = 100
BATCH, NO_GAP = 100, 422
SEED = 2

Clock = Callable[[], float]


@dataclass(frozen=True, slots=True)
class FitsAsked:
    """How many pieces, how many of the gaps had one that may go, and what each answer took."""

    pieces: int
    answered: int
    processor_s: tuple[float, ...]
    wall_s: tuple[float, ...]


def fits_asked(load: Load, dispatcher: User, processor: Clock, wall: Clock) -> FitsAsked:
    """Gaps at points all over the face of the load; a first question, which is not counted, has
    the process read the plan."""
    from rest_framework.test import APIClient

    request, plan = _planned()
    job = _begun(load, request, plan, dispatcher)
    client = APIClient(SERVER_NAME="localhost")
    client.force_authenticate(dispatcher)
    rng = random.Random(SEED)
    _, width_mm, height_mm = request.truck.interior_mm
    tier = max(place.tier for place in plan.placements)
    spent: list[tuple[float, float]] = []
    answered = 0
    while len(spent) <= QUESTIONS:
        gap = {"tier": tier, "y_mm": rng.randrange(width_mm), "z_mm": rng.randrange(height_mm)}
        begun = processor(), wall()
        answer = client.post(f"/api/jobs/{job.id}/fits/", {"gap": gap}, format="json")
        took = processor() - begun[0], wall() - begun[1]
        if answer.status_code == 200:
            answered += bool(spent) and bool(answer.json()["may_go"])
            spent.append(took)
        elif answer.status_code != NO_GAP:
            raise SystemExit(f"asking failed: {answer.status_code}")
    processor_s, wall_s = zip(*spent[1:], strict=True)
    return FitsAsked(len(request.items), answered, processor_s, wall_s)


def _planned() -> tuple[LoadRequest, LoadPlan]:
    """Forty pieces go in; the others are in vaults, of which two will be pulled."""
    from loading.planner.plan import LeftOff, LoadPlan, Step
    from loading.planner.request import Lane, Vault
    from tests.benchmarks.fitting import filled, household

    request = household(PIECES)
    done = filled(request, LOADED)
    loaded = {place.tag for place in done.placements}
    stored = [item.tag for item in request.items if item.tag not in loaded]
    vaults = tuple(Vault(f"V{n}", f"L{n}", 1, 1, tuple(stored[n::VAULTS])) for n in range(VAULTS))
    lanes = tuple(Lane(vault.lane, 1, 1) for vault in vaults)
    begun = [step for vault in vaults[:OPEN] for step in _opened(vault)]
    plan = LoadPlan(
        request=request.name,
        steps=(*done.steps, *begun, Step("close", tier=max(p.tier for p in done.placements))),
        placements=done.placements,
        left_off=tuple(LeftOff(tag, "not yet") for tag in stored),
    )
    return replace(request, vaults=vaults, lanes=lanes), plan


def _opened(vault: Any) -> list[Any]:
    from loading.planner.plan import Step

    unpacked = [Step("unpack", tag=tag) for tag in vault.items[:UNPACKED]]
    return [Step("pull", vault=vault.code), *unpacked]


def _begun(load: Load, request: LoadRequest, plan: LoadPlan, dispatcher: User) -> Job:
    """All of the plan is done but the closing of its last tier."""
    from jobs.services import events_record, job_accept_plan
    from loading.planner.plan import plan_document
    from loading.planner.request import request_document
    from tests.jobs import stage
    from tests.jobs.reports import report_done

    stored = stage.store_plan(load, plan_document(plan), request_document(request))
    job = job_accept_plan(job=stage.make_job(load), plan=stored, by=None, now=stage.NOW)
    last = job.tasks.order_by("sequence").last()
    tasks = [task for task in job.tasks.order_by("sequence") if task != last]
    events = [report_done(task) | {"uuid": str(uuid4())} for task in tasks]
    for start in range(0, len(events), BATCH):
        batch = events[start : start + BATCH]
        events_record(job=job, events=batch, actor=dispatcher, now=stage.NOW)
    return job
