"""Correcting a branch's work rates by what a finished job has shown."""

from collections import defaultdict
from datetime import datetime
from uuid import UUID

from jobs.models import Assignment, BranchRates, Job
from jobs.scheduling.rates import Observation, rates_document, rates_estimate
from jobs.selectors.floors import DEFAULT_PADS, usual_way_mm
from jobs.selectors.rates import branch_rates


def branch_rates_correct(*, job: Job, now: datetime) -> None:
    """Take what the job's tasks took into its branch's rates.

    Call once for each job, when it is closed, with its row locked. A task took as long as it was
    in hand; it counts by its kind and how many did it, whoever they were.
    """
    seen = _observations(job)
    if not seen:
        return
    BranchRates.objects.select_for_update(no_key=True).filter(branch=job.branch_id).first()
    renewed = rates_estimate(branch_rates(branch=job.branch), seen)
    BranchRates.objects.update_or_create(
        branch=job.branch,
        defaults={"document": rates_document(renewed), "estimated_at": now},
    )


def _observations(job: Job) -> list[Observation]:
    done = Assignment.objects.filter(
        task__job=job, ending=Assignment.Ending.DONE, ended_at__isnull=False
    ).select_related("task")
    by_task: defaultdict[UUID, list[Assignment]] = defaultdict(list)
    for one in done:
        by_task[one.task_id].append(one)
    return [_observation(given) for given in by_task.values()]


def _observation(given: list[Assignment]) -> Observation:
    task = given[0].task
    ended = max(one.ended_at for one in given if one.ended_at is not None)
    return Observation(
        kind=task.kind,
        people=len({one.person_id for one in given}),
        took_s=int((ended - min(one.given_at for one in given)).total_seconds()),
        weight_g=task.weight_g,
        distance_mm=usual_way_mm(task.kind),
        pads=DEFAULT_PADS,
    )
