"""Whose turn it is at the one forklift of a warehouse, and in lanes that several jobs need."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.db.models import Exists, OuterRef, Q, QuerySet

from jobs.models import Assignment, CrewMember, Job, Skill, Task
from jobs.scheduling.assigning import BY_FORKLIFT
from jobs.selectors.floors import crew_at_hand, floor_schedule
from jobs.selectors.states import is_paused
from loading.planner.plan import Step
from loading.planner.pulls import Yard, waits_for
from loading.selectors import load_is_held, warehouse_yard

FORGOTTEN_AFTER: Final = timedelta(minutes=30)
"""By then a vault stands where it was to go, and nobody has said so."""


@dataclass(frozen=True, slots=True)
class Turns:
    """`used_by` is the load that has the forklift, its own too; else `waiting` are keys of ready
    tasks with the load that goes first."""

    used_by: str | None
    waiting: Mapping[str, str]


def forklift_turns(*, job: Job, ready: Sequence[Task], now: datetime) -> Turns:
    """Which of a job's ready forklift tasks have to wait for another job of its branch.

    One forklift serves all docks, so while somebody has work for it nobody gets more. Of the day's
    jobs with a crew the one with the earlier window goes first in a lane that both need, as they
    were planned; else the job goes first whose schedule wants the forklift earlier, as long as
    somebody there can begin.
    """
    mine = [task for task in ready if task.kind in BY_FORKLIFT]
    if not mine:
        return Turns(None, {})
    that_day = Job.objects.filter(branch=job.branch_id, day=job.day, status__in=Job.AT_WORK)
    in_hand = Assignment.objects.filter(
        task__job__in=that_day,
        task__kind__in=BY_FORKLIFT,
        ended_at__isnull=True,
        given_at__gt=now - FORGOTTEN_AFTER,
    )
    used_by = in_hand.values_list("task__job__load__reference", flat=True).first()
    if used_by is not None:
        return Turns(used_by, {})
    manned = CrewMember.objects.filter(job=OuterRef("job"), active=True)
    work = Task.objects.filter(
        Exists(manned), job__in=that_day, kind__in=BY_FORKLIFT, status__in=Task.OPEN
    )
    queue = _Queue.of(work.select_related("job__load", "job__branch"))
    if set(queue.left) <= {job.load.reference}:
        return Turns(None, {})
    waiting = {task.key: load for task in mine if (load := queue.waits(job, task)) is not None}
    free = [task for task in mine if task.key not in waiting]
    ahead = queue.ahead(job, free, now) if free else None
    if ahead is not None:
        waiting |= {task.key: ahead for task in free}
    return Turns(None, waiting)


def another_first(*, job: Job, now: datetime) -> Turns:
    """Why work for the forklift that is ready on a job waits, as far as that is another's."""
    ready = list(job.tasks.filter(status=Task.Status.READY, kind__in=BY_FORKLIFT))
    turns = forklift_turns(job=job, ready=ready, now=now)
    return turns if turns.used_by != job.load.reference else Turns(None, {})


def jobs_at_forklift(*, job: Job) -> list[Job]:
    """The other jobs of a branch on which work for the forklift is ready."""
    ready = Task.objects.filter(job=OuterRef("pk"), kind__in=BY_FORKLIFT, status=Task.Status.READY)
    others = Job.objects.filter(Exists(ready), branch=job.branch_id, status__in=Job.AT_WORK)
    return list(others.exclude(pk=job.pk))


@dataclass(frozen=True, slots=True)
class _Queue:
    """The open forklift tasks of a day: `left` by load, in the order in which the jobs pull."""

    left: Mapping[str, Sequence[Task]]
    yard: Yard | None

    @classmethod
    def of(cls, work: QuerySet[Task]) -> "_Queue":
        left: dict[str, list[Task]] = {}
        for task in work.order_by("job__window_start", "job__load__reference", "sequence"):
            left.setdefault(task.job.load.reference, []).append(task)
        shared = len(left) > 1
        branch = next(iter(left.values()))[0].job.branch if shared else None
        return cls(left, warehouse_yard(branch=branch) if branch else None)

    def waits(self, job: Job, task: Task) -> str | None:
        """The load that goes first in the lanes of a task."""
        load = job.load.reference
        if self.yard is None or load not in self.left:
            return None
        steps = [(name, [_step(one) for one in tasks]) for name, tasks in self.left.items()]
        return waits_for(self.yard, load, _step(task), steps)

    def ahead(self, job: Job, mine: Sequence[Task], now: datetime) -> str | None:
        """The load of another job that wants the forklift earlier, and can begin with it."""
        due = _wanted_at(job, mine)
        for load, tasks in self.left.items():
            other = tasks[0].job
            ready = [one for one in tasks if one.status == Task.Status.READY]
            free = [one for one in ready if self.waits(other, one) is None]
            earlier = free and other.pk != job.pk and _wanted_at(other, free) < due
            if earlier and _can_begin(other, now):
                return load
        return None


def _wanted_at(job: Job, tasks: Sequence[Task]) -> tuple[datetime, str]:
    """When the first of some tasks begins by the job's schedule; without one, its window does."""
    stored = floor_schedule(job=job)
    times = [job.window_start]
    if stored is not None:
        keys = {task.key for task in tasks}
        entries = [entry for entry in stored.schedule.entries if entry.task in keys]
        planned = [stored.starts_at + timedelta(seconds=entry.goes_s) for entry in entries]
        times = planned or times
    return min(times), job.load.reference


def _can_begin(job: Job, now: datetime) -> bool:
    """Whether somebody is free there who works with the forklift, and work is handed out."""
    if is_paused(job=job) or load_is_held(load=job.load):
        return False
    drivers = Skill.objects.filter(branch=job.branch_id, kind=Skill.Kind.FORKLIFT)
    busy = Assignment.objects.filter(person=OuterRef("user"), ended_at__isnull=True)
    able = Q(part=CrewMember.Part.WAREHOUSE) | Q(user__in=drivers.values("person"))
    return crew_at_hand(job=job, now=now).filter(able, ~Exists(busy)).exists()


def _step(task: Task) -> Step:
    return Step(task.kind, vault=task.vault, lane=task.lane or None)
