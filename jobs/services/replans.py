"""Planning the rest of a load anew: asked for by what happened, carried out by a worker."""

import time
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import Any, Final, cast
from uuid import UUID

import structlog
from django.db import IntegrityError, transaction
from django.db.models import Q

from jobs.folding import State
from jobs.models import Job, JobState, Replan, Task
from jobs.replanning import frozen_tasks, request_now
from jobs.selectors.floors import floor_schedule, next_tasks
from jobs.services.live import change_publish
from jobs.services.replan_ending import replan_end, replan_publish
from jobs.services.sending import replan_send_now
from jobs.services.task_states import standing_tasks
from loading.errors import DocumentInvalid
from loading.models import LoadPlan, PlanRun
from loading.planner.pulls import lanes_as_they_stand
from loading.planner.request import LoadRequest, request_document
from loading.selectors import plan_of, warehouse_yard
from loading.selectors.documents import truck_document
from loading.services import plan_run_create, plan_run_execute
from loading.services.plan_execution import Search

BUDGET_S: Final = 2.0
SEED: Final = 1
LEASE: Final = timedelta(seconds=60)
RESEND_AFTER: Final = timedelta(seconds=5)
DOCK_WORK: Final = ("move", "pull", "unpack", "fetch", "clear", "store", "return", "wrap")
"""Work that is of use whatever the new plan says."""

log = structlog.get_logger()


def replan_execute(
    *,
    replan_id: UUID,
    worker: str,
    now: datetime,
    budget_s: float = BUDGET_S,
    search: Search | None = None,
    workers: int = 1,
    clock: Callable[[], float] = time.monotonic,
) -> Replan | None:
    """Plan the rest of a load from what has been done, and publish it if it is better.

    None when another worker has it or it is settled. Safe to start twice and to kill: whoever
    claims it after the lease plans again. `search` and `clock` as for a plan run.
    """
    begun_s = clock()
    replan = _claim(replan_id, worker, now, budget_s)
    if replan is None or replan.run_id is None:
        return replan
    plan: LoadPlan | None = None
    try:
        plan = plan_run_execute(
            run_id=replan.run_id,
            worker=worker,
            now=now,
            search=search,
            workers=workers,
            clock=clock,
        )
    except Exception:
        log.exception("replan.search_failed", replan=str(replan.id))
    ended = now + timedelta(seconds=clock() - begun_s)
    replan_publish(replan=replan, plan=plan, now=ended)
    _next_send(replan.job_id)
    return Replan.objects.get(pk=replan.pk)


def replans_resend(*, now: datetime) -> list[UUID]:
    """Send again what waits though its message must be lost, or whose worker is gone."""
    asked = Q(status=Replan.Status.ASKED, asked_at__lt=now - RESEND_AFTER)
    lost = Q(status=Replan.Status.PLANNING, lease_until__lt=now)
    due = list(Replan.objects.filter(asked | lost).order_by("asked_at"))
    for replan in due:
        replan_send_now(replan.id)
    return [replan.id for replan in due]


def _next_send(job_id: UUID) -> None:
    """What was asked for meanwhile has waited for its turn."""
    for replan in Replan.objects.filter(job=job_id, status=Replan.Status.ASKED):
        replan_send_now(replan.id)


@transaction.atomic
def _claim(replan_id: UUID, worker: str, now: datetime, budget_s: float) -> Replan | None:
    """Take the replan, and freeze what it plans from; its run is None if there is nothing to."""
    replan = Replan.objects.filter(pk=replan_id).first()
    if replan is None:
        return None
    job = Job.objects.select_for_update(no_key=True, of=("self",)).get(pk=replan.job_id)
    if not _taken(replan_id, worker, now):
        return None
    replan.refresh_from_db()
    if job.status == Job.Status.CLOSED or job.tasks_plan is None:
        return replan_end(replan, Replan.Status.OVERTAKEN, now)
    try:
        _plan_from_here(job, job.tasks_plan, replan, budget_s)
    except DocumentInvalid as error:
        log.warning("replan.nothing_to_plan", replan=str(replan.id), error=str(error))
        return replan_end(replan, Replan.Status.FAILED, now, {"problem": str(error)})
    change_publish(job.id, job.branch_id)
    return replan


def _taken(replan_id: UUID, worker: str, now: datetime) -> bool:
    free = Q(status=Replan.Status.ASKED) | Q(status=Replan.Status.PLANNING, lease_until__lt=now)
    try:
        with transaction.atomic():
            taken = Replan.objects.filter(free, pk=replan_id).update(
                status=Replan.Status.PLANNING, claimed_by=worker, lease_until=now + LEASE
            )
    except IntegrityError:
        return False  # another replan of this job is at work; it sends this one when it ends
    return bool(taken)


def _plan_from_here(job: Job, former: LoadPlan, replan: Replan, budget_s: float) -> None:
    stored = JobState.objects.get(job=job)
    state = cast(State, stored.state)
    request, plan = plan_of(plan=former)
    tasks = standing_tasks(job)
    people = job.crew.filter(active=True).count()
    following = _next_of_each(job, tasks)
    frozen = frozen_tasks(tasks, plan, people=people, next_of=following).keys
    another_truck = former.request_document["truck"]["name"] != job.load.truck.name
    if another_truck:
        frozen = frozenset(task.key for task in tasks if task.key in frozen and _is_dock(task.kind))
    begun = request_now(request, plan, state, frozen=frozen)
    done = request_now(request, plan, state)
    document = request_document(_in_lanes_of_now(begun, done, job))
    truck = truck_document(job.load.truck) if another_truck else former.request_document["truck"]
    run = _run({**document, "truck": truck}, job, budget_s)
    replan.run, replan.former, replan.frozen = run, former, sorted(frozen)
    replan.after_sequence, replan.attempt = stored.sequence, replan.attempt + 1
    replan.save(update_fields=["run", "former", "frozen", "after_sequence", "attempt"])


def _in_lanes_of_now(begun: LoadRequest, done: LoadRequest, job: Job) -> LoadRequest:
    """Other jobs of the day may have shifted vaults in the same lanes, or taken some.

    `begun` counts as done what will be done as planned; the lanes of now know only what was.
    """
    steps, known = (one.progress.steps if one.progress else () for one in (begun, done))
    return lanes_as_they_stand(begun, warehouse_yard(branch=job.branch).after(steps[len(known) :]))


def _next_of_each(job: Job, tasks: Sequence[Task]) -> dict[str, tuple[str, ...]] | None:
    """What each one does next by the floor's schedule, which phones keep; None without one."""
    stored = floor_schedule(job=job)
    if stored is None:
        return None
    to_do = {task.key: task for task in tasks if task.status in Task.OPEN}
    members = list(job.crew.filter(active=True))
    following = next_tasks(schedule=stored.schedule, members=members, open_keys=to_do)
    # A schedule of tasks that all have gone since says nothing.
    return following if any(following.values()) else None


def _run(document: dict[str, Any], job: Job, budget_s: float) -> PlanRun:
    return plan_run_create(
        load=job.load, seed=SEED, budget_s=budget_s, document=document, send=False
    )


def _is_dock(kind: str) -> bool:
    return kind in DOCK_WORK
