"""From an event to new tasks: a household load that is begun, and what comes to light meanwhile."""

from __future__ import annotations

import json
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import uuid4

if TYPE_CHECKING:
    from jobs.models import Job, Task
    from loading.models import Load, LoadPlan

LOAD = Path(__file__).parents[1] / "data" / "loads" / "four-bedroom-104.json"
FIRST_PLAN_S, SEARCH_S = 8.0, 2.0
BEGUN_PERCENT = 30
BATCH = 50
BETWEEN = 12  # tasks done between one disturbance and the next
SEED = 1

Clock = Callable[[], float]
SEARCHING: Clock = time.process_time
"""What the search goes by: its threads ask too, and they have no connection to the database."""


@dataclass(frozen=True, slots=True)
class Replanned:
    """What came of each disturbance, and the seconds from its report to the new tasks."""

    pieces: int
    endings: tuple[str, ...]
    seconds: tuple[float, ...]

    @property
    def median_s(self) -> float:
        return statistics.median(self.seconds)


def replanned(load: Load, clock: Clock) -> Replanned:
    """Load the first tiers, then report one thing after another and wait for the tasks."""
    job = _begun(load)
    found = [_disturbed(job, event, clock) for event in _disturbances(job)]
    return Replanned(
        pieces=len(json.loads(LOAD.read_text(encoding="utf-8"))["items"]),
        endings=tuple(ending for ending, _ in found),
        seconds=tuple(seconds for _, seconds in found),
    )


def _begun(load: Load) -> Job:
    from config.celery import imports_set_aside
    from jobs.services import job_accept_plan, schedule_make
    from tests.jobs import stage

    job = stage.make_job(load)
    job = job_accept_plan(job=job, plan=_first_plan(load), by=None, now=stage.NOW)
    stage.make_crew(job)
    tasks = job.tasks.order_by("sequence")
    _do(job, list(tasks[: tasks.count() * BEGUN_PERCENT // 100]))
    schedule_make(job_id=job.id, worker="benchmark", now=stage.NOW)
    imports_set_aside()
    return job


def _first_plan(load: Load) -> LoadPlan:
    from loading.planner.search import plan_load
    from loading.services import plan_run_create, plan_run_execute
    from tests.jobs.stage import NOW

    document = json.loads(LOAD.read_text(encoding="utf-8"))
    load.truck.name = document["truck"]["name"]
    load.truck.save()
    run = plan_run_create(
        load=load, seed=SEED, budget_s=FIRST_PLAN_S, document=document, send=False
    )
    plan = plan_run_execute(run_id=run.id, worker="b", now=NOW, search=plan_load, clock=SEARCHING)
    if plan is None:
        run.refresh_from_db()
        raise SystemExit(f"no first plan: {run.problem}")
    return plan


def _disturbances(job: Job) -> Iterator[dict[str, Any]]:
    """Each made when the one before is settled, about a piece that is still in storage."""
    new = {"name": "mirror", "length_mm": 900, "width_mm": 150, "height_mm": 700}
    yield _event("piece_missing", tag=_waiting(job).tag)
    yield _event("piece_not_on_list", tag="9001", weight_g=12_000, **new)
    for _ in range(3):
        yield _event("size_corrected", tag=_waiting(job).tag, **_larger(job))
    yield _event("piece_does_not_fit", tag=_waiting(job).tag, note="")
    yield _event("piece_taken_by_customer", tag=_waiting(job).tag, note="")
    yield _event("weight_corrected", tag=_waiting(job).tag, weight_g=20_000)
    yield _event("vault_not_found", vault=_waiting(job).vault)


def _waiting(job: Job) -> Task:
    """The last piece that is to come out of a vault that nobody has pulled."""
    pulls = job.tasks.filter(kind="pull", status="waiting").values("vault")
    task = job.tasks.filter(kind="unpack", status="waiting", vault__in=pulls)
    found = task.order_by("sequence").last()
    if found is None:
        raise SystemExit("nothing is left in the vaults")
    return found


def _larger(job: Job) -> dict[str, int]:
    from loading.selectors import plan_of

    plan = _now(job).tasks_plan
    assert plan is not None
    request, _ = plan_of(plan=plan)
    names = ("length_mm", "width_mm", "height_mm")
    size_mm = request.item(_waiting(job).tag).size_mm
    return {name: mm * 105 // 100 for name, mm in zip(names, size_mm, strict=True)}


def _disturbed(job: Job, event: dict[str, Any], clock: Clock) -> tuple[str, float]:
    """What the replan came to, and how long it took until the next tasks were given out."""
    from jobs.models import Replan
    from jobs.services import events_record, replan_execute, tasks_assign
    from tests.jobs.stage import NOW

    begun_s = clock()
    events_record(job=job, events=[event], actor=None, ours=True, now=NOW)
    asked = Replan.objects.get(job=job, status="asked")
    replan = replan_execute(
        replan_id=asked.id,
        worker="b",
        now=NOW,
        budget_s=SEARCH_S,
        search=_search(),
        clock=SEARCHING,
    )
    tasks_assign(job_id=job.id, now=NOW)
    took_s = clock() - begun_s
    _do(
        job, list(job.tasks.filter(status__in=("ready", "assigned")).order_by("sequence")[:BETWEEN])
    )
    assert replan is not None
    return f"{event['kind']}: {replan.status}", took_s


def _search() -> Any:
    """The planner's own, as a replan worker has it warm."""
    from functools import partial

    from loading.planner.ordering import plan_with_orders
    from loading.planner.search import plan_load

    return partial(plan_with_orders, plan_load)


def _do(job: Job, tasks: list[Task]) -> None:
    from jobs.services import events_record
    from tests.jobs.reports import report_done
    from tests.jobs.stage import NOW

    events = [report_done(task) | {"uuid": str(uuid4())} for task in tasks]
    for start in range(0, len(events), BATCH):
        batch = events[start : start + BATCH]
        events_record(job=job, events=batch, actor=None, ours=True, now=NOW)


def _event(kind: str, **payload: Any) -> dict[str, Any]:
    from tests.jobs.reports import report

    return report(kind, **payload)


def _now(job: Job) -> Job:
    from jobs.models import Job as Jobs

    return Jobs.objects.get(pk=job.pk)
