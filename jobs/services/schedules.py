"""The schedule of a floor: made by a worker, and stored for whoever hands tasks out."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Protocol
from uuid import UUID

from django.db.models import F

from jobs.models import FloorPlan, Job
from jobs.scheduling.floor import FloorRequest, FloorSchedule, schedule_document
from jobs.selectors.floors import floor_of, floor_schedule
from jobs.selectors.forklift_away import forklift_away
from jobs.services.live import change_publish
from jobs.services.making import claim, finish, keep, waiting
from jobs.services.schedule_asking import balance_ask
from jobs.services.sending import assigning_send_now, schedule_send_now
from loading.planner.stopping import Seconds, Stop
from loading.selectors import plan_long_fields

BUDGET_S: Final = 1.0
SEED: Final = 1


class Solving(Protocol):
    """The part of `jobs.scheduling.floor.solving` that is needed here."""

    def schedule_first(self, request: FloorRequest) -> FloorSchedule: ...

    def schedule_floor(
        self, request: FloorRequest, *, seed: int, stop: Stop, former: FloorSchedule | None
    ) -> FloorSchedule: ...


@dataclass(frozen=True, slots=True)
class _Compiled:
    """The scheduler itself, which brings compiled code and is loaded where it is used first."""

    def schedule_first(self, request: FloorRequest) -> FloorSchedule:
        from jobs.scheduling.floor.solving import schedule_first

        return schedule_first(request)

    def schedule_floor(
        self, request: FloorRequest, *, seed: int, stop: Stop, former: FloorSchedule | None
    ) -> FloorSchedule:
        from jobs.scheduling.floor.solving import schedule_floor

        return schedule_floor(request, seed=seed, stop=stop, former=former)


def schedule_make(
    *,
    job_id: UUID,
    worker: str,
    now: datetime,
    budget_s: float = BUDGET_S,
    solving: Solving | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> FloorSchedule | None:
    """Make the schedule that is wanted: a first one is stored at once, then a better one.

    None when nothing is wanted or another worker is at it. Safe to start twice and to kill: after
    the lease the next one makes it. Each one's next tasks stay as the former schedule had them.
    """
    mine = FloorPlan.objects.filter(job=job_id)
    row = claim(mine, worker=worker, now=now)
    if row is None:
        return None
    jobs = Job.objects.select_related("branch", "tasks_plan")
    job = jobs.defer(*plan_long_fields("tasks_plan")).get(pk=job_id)
    made = None
    if job.status in Job.AT_WORK and job.tasks_plan is not None:
        made = _made(job, row, now, budget_s, solving or _Compiled(), clock)
    if finish(mine, row):
        schedule_send_now(job_id)
    balance_ask(branch_id=job.branch_id, day=job.day, now=now)
    return made


def schedules_resend(*, now: datetime) -> list[UUID]:
    """Send again what waits though its message must be lost, or whose worker is gone."""
    due = waiting(FloorPlan.objects.all(), now=now).order_by("asked_at")
    jobs = list(due.values_list("job_id", flat=True))
    for job_id in jobs:
        schedule_send_now(job_id)
    return jobs


def _made(
    job: Job,
    row: FloorPlan,
    now: datetime,
    budget_s: float,
    solving: Solving,
    clock: Callable[[], float],
) -> FloorSchedule:
    stored = floor_schedule(job=job)
    former = stored.schedule if stored else None
    away = forklift_away(job=job, now=now)
    request = floor_of(job=job, now=now, former=former, forklift_away_s=away)
    first = solving.schedule_first(request)
    _store(job, row, first, now)
    stop = Seconds(budget_s, clock)
    better = solving.schedule_floor(request, seed=SEED, stop=stop, former=former)
    if _worth(better) > _worth(first):
        _store(job, row, better, now)
        return better
    return first


def _worth(schedule: FloorSchedule) -> tuple[int, int, int]:
    """More tasks done, then an earlier end; of equal ones the one with a bound tells more."""
    return len(schedule.entries), -schedule.end_s, schedule.bound_s


def _store(job: Job, row: FloorPlan, schedule: FloorSchedule, now: datetime) -> None:
    columns = {"document": schedule_document(schedule), "starts_at": now, "made_at": now}
    mine = FloorPlan.objects.filter(pk=row.pk)
    if keep(mine, row, edition=F("edition") + 1, **columns):
        assigning_send_now(job.id)
        change_publish(job.id, job.branch_id)
