"""Each page asks the database as often for a large load and crew as for a small one."""

from copy import deepcopy
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.models import Role, User
from jobs.models import Job
from jobs.services import crew_member_put, events_record, job_accept_plan, tasks_assign
from loading.models import Load, LoadPlan, PlanRun
from tests.jobs import stage
from tests.jobs.reports import report
from tests.jobs.scenario import PLAN, REQUEST, item, placed

MORE_PIECES = 40
PAGES = (
    "",
    "tasks/",
    "pulls/",
    "tiers/",
    "solid/",
    "loader/",
    "warehouse/",
    "phones/",
    "hands/",
    "sheet/",
)


def _larger() -> tuple[dict[str, Any], dict[str, Any]]:
    """The small load with a third tier of loose cartons. No rule of the truck is asked here."""
    request, plan = deepcopy(REQUEST), deepcopy(PLAN)
    for number in range(101, 101 + MORE_PIECES):
        tag = str(number)
        request["items"].append(item(tag, "carton", [500, 400, 400], 10, carton=True))
        plan["placements"].append(placed(tag, 3, [1800, 0, 0], [500, 400, 400]))
        plan["steps"] += [{"do": "fetch", "tag": tag}, {"do": "load", "tag": tag}]
    plan["steps"].append({"do": "close", "tier": 3})
    return request, plan


def _store_larger(load: Load) -> LoadPlan:
    request, document = _larger()
    run = PlanRun.objects.create(
        load=load,
        request_document=request,
        seed=1,
        budget_s=1,
        status="done",
        finished_at=stage.NOW,
    )
    return LoadPlan.objects.create(
        load=load,
        version=load.plans.count() + 1,
        run=run,
        request_document=request,
        document=document,
        figures={},
        checked_at=stage.NOW,
    )


def _grow(job: Job, dana: User) -> None:
    """More pieces, a new version, more people at work, more branches, more that went wrong."""
    job_accept_plan(job=job, plan=_store_larger(job.load), by=dana, now=stage.NOW)
    for name in ("ada", "bo", "cleo"):
        person = stage.make_person(job.branch, name, "helper")
        crew_member_put(job=job, user=person, part="helper")
    for code in ("EAST", "WEST"):
        Role.objects.create(user=dana, branch=stage.make_branch(code), kind="dispatcher")
    told = [report("piece_missing", tag="003"), report("piece_does_not_fit", tag="004")]
    told += [report("piece_loaded", tag=tag) for tag in ("999", "998")]
    told += [report("exception_noted", tag=tag, note="scratched") for tag in ("005", "006")]
    told += [report("vault_not_found", vault="V2")]
    events_record(job=job, events=told, actor=dana, now=stage.NOW)
    tasks_assign(job_id=job.id, now=stage.NOW)


def _counts(client: Client, addresses: dict[str, str]) -> dict[str, int]:
    counts = {}
    for name, address in addresses.items():
        client.get(address)  # what a process keeps of a plan is kept from now on
        with CaptureQueriesContext(connection) as queries:
            assert client.get(address).status_code == 200
        counts[name] = len(queries)
    return counts


@pytest.fixture
def asked(accepted: Job) -> dict[str, str]:
    pages = {page or "job": f"/jobs/{accepted.id}/{page}" for page in PAGES}
    return {**pages, "day": f"/days/{stage.DAY}/"}


def test_the_dispatchers_and_floor_pages(
    client: Client, accepted: Job, asked: dict[str, str], dispatcher: User
) -> None:
    stage.make_crew(accepted)
    events_record(
        job=accepted,
        events=[report("exception_noted", tag="001", note="dented")],
        actor=dispatcher,
        now=stage.NOW,
    )
    tasks_assign(job_id=accepted.id, now=stage.NOW)
    client.force_login(dispatcher)
    before = _counts(client, asked)
    _grow(accepted, dispatcher)
    assert _counts(client, asked) == before


def test_a_helpers_page(client: Client, accepted: Job, dispatcher: User) -> None:
    crew = stage.make_crew(accepted)
    events = [report("vault_moved", vault="X9", lane="L2"), report("vault_pulled", vault="V1")]
    events_record(job=accepted, events=events, actor=dispatcher, now=stage.NOW)
    tasks_assign(job_id=accepted.id, now=stage.NOW)
    client.force_login(crew["hanne"].user)
    before = _counts(client, {"my-task": "/my-task/"})
    _grow(accepted, dispatcher)
    assert _counts(client, {"my-task": "/my-task/"}) == before
