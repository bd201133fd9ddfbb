"""Whose turn it is at the one forklift of a warehouse, and in lanes that several jobs need."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.db.models import Exists, OuterRef, QuerySet

from jobs.models import Assignment, CrewMember, Job, Task
from jobs.scheduling.assigning import BY_FORKLIFT
from loading.planner.plan import Step
from loading.planner.pulls import waits_for
from loading.selectors import warehouse_yard

FORGOTTEN_AFTER: Final = timedelta(minutes=30)
"""By then a vault stands where it was to go, and nobody has said so."""


@dataclass(frozen=True, slots=True)
class Turns:
    """`waiting` are keys of ready tasks with the load that goes first; `in_use`: so is the
    forklift."""

    in_use: bool
    waiting: Mapping[str, str]


def forklift_turns(*, job: Job, ready: Sequence[Task], now: datetime) -> Turns:
    """Which of a job's ready forklift tasks have to wait for another job of its branch.

    One forklift serves all docks, so while somebody has work for it nobody gets more. Of the day's
    jobs with a crew the one with the earlier window goes first in a lane that both need, as they
    were planned.
    """
    mine = [task for task in ready if task.kind in BY_FORKLIFT]
    if not mine:
        return Turns(False, {})
    that_day = Job.objects.filter(branch=job.branch_id, day=job.day, status__in=Job.AT_WORK)
    in_hand = Assignment.objects.filter(
        task__job__in=that_day,
        task__kind__in=BY_FORKLIFT,
        ended_at__isnull=True,
        given_at__gt=now - FORGOTTEN_AFTER,
    )
    if in_hand.exists():
        return Turns(True, {})
    left = _left(that_day)
    load = job.load.reference
    if len(left) < 2 or load not in left:
        return Turns(False, {})
    yard = warehouse_yard(branch=job.branch)
    found = {task.key: waits_for(yard, load, _step(task), list(left.items())) for task in mine}
    return Turns(False, {key: other for key, other in found.items() if other is not None})


def jobs_at_forklift(*, job: Job) -> list[Job]:
    """The other jobs of a branch on which work for the forklift is ready."""
    ready = Task.objects.filter(job=OuterRef("pk"), kind__in=BY_FORKLIFT, status=Task.Status.READY)
    others = Job.objects.filter(Exists(ready), branch=job.branch_id, status__in=Job.AT_WORK)
    return list(others.exclude(pk=job.pk))


def _left(jobs: QuerySet[Job]) -> dict[str, list[Step]]:
    """What each manned job of the day still does in the lanes, in the order of their windows."""
    manned = CrewMember.objects.filter(job=OuterRef("job"), active=True)
    tasks = Task.objects.filter(
        Exists(manned), job__in=jobs, kind__in=BY_FORKLIFT, status__in=Task.OPEN
    )
    left: dict[str, list[Step]] = {}
    for task in tasks.select_related("job__load").order_by(
        "job__window_start", "job__load__reference", "sequence"
    ):
        left.setdefault(task.job.load.reference, []).append(_step(task))
    return left


def _step(task: Task) -> Step:
    return Step(task.kind, vault=task.vault, lane=task.lane or None)
