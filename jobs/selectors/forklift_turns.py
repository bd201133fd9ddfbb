"""Whose turn it is at the one forklift of a warehouse, and in lanes that several jobs need.

Vaults from outside compete with the docks: one that is due is put away by people of whatever job.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q, QuerySet

from inventory.models import Branch, VaultArrival
from inventory.selectors import arrival_list
from jobs.models import Assignment, CrewMember, Job, Skill, Task
from jobs.scheduling.assigning import BY_FORKLIFT
from jobs.selectors.floors import crew_at_hand, floor_schedule
from jobs.selectors.lanes import BranchDay, branch_day
from jobs.selectors.states import is_paused
from loading.planner.plan import Step
from loading.planner.pulls import Yard, waits_for
from loading.selectors import load_is_held, warehouse_yard

_OF_PLANS: Final = BY_FORKLIFT - {Task.Kind.STOW}
FORGOTTEN_AFTER: Final = timedelta(minutes=30)
"""By then a vault stands where it was to go, and nobody has said so."""


@dataclass(frozen=True, slots=True)
class Turns:
    """`used_by` is the load that has the forklift, its own too; else `waiting` are keys of ready
    tasks with the load that goes first."""

    used_by: str | None
    waiting: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class ArrivalNext:
    """A vault from outside, and the lane that it goes into."""

    arrival: VaultArrival
    lane: str


def forklift_turns(*, job: Job, ready: Sequence[Task], now: datetime) -> Turns:
    """Which of a job's ready forklift tasks have to wait for another job of its branch.

    One forklift serves all docks, so while somebody has work for it nobody gets more. Of the day's
    jobs with a crew the one with the earlier window goes first in a lane that both need, as they
    were planned; else the job goes first whose schedule wants the forklift earlier, as long as
    somebody there can begin.
    """
    mine = [task for task in ready if task.kind in _OF_PLANS]
    if not mine:
        return Turns(None, {})
    used_by = _used_by(job, now)
    if used_by is not None:
        return Turns(used_by, {})
    queue = _Queue.of(_work(job))
    if set(queue.left) <= {job.load.reference}:
        return Turns(None, {})
    waiting = {task.key: load for task in mine if (load := queue.waits(job, task)) is not None}
    free = [task for task in mine if task.key not in waiting]
    ahead = queue.ahead(job, free, now) if free else None
    if ahead is not None:
        waiting |= {task.key: ahead for task in free}
    return Turns(None, waiting)


def arrivals_waiting(*, now: datetime) -> QuerySet[VaultArrival]:
    """The vaults from outside that are due, and that nobody is putting away."""
    in_hand = Assignment.objects.filter(
        task__kind=Task.Kind.STOW,
        task__job__branch=OuterRef("vault__branch"),
        task__vault=OuterRef("vault__code"),
        ended_at__isnull=True,
    )
    due = arrival_list(branches=Branch.objects.all()).filter(expected_at__lte=now)
    return due.filter(~Exists(in_hand))


def arrival_next(*, job: Job, now: datetime) -> ArrivalNext | None:
    """The vault from outside that somebody of this job is to put away now, if there is one.

    It goes where the forklift's day has it: before the docks' work that stands after it there, and
    after what stands before it, as long as somebody can begin with that. A vault for which every
    lane would bar something waits.
    """
    today = now.astimezone(ZoneInfo(job.branch.time_zone)).date()
    if job.tasks_plan_id is None or job.day != today:
        return None
    due = {str(one.pk) for one in arrivals_waiting(now=now).filter(vault__branch=job.branch_id)}
    if not due or _used_by(job, now) is not None or not _can_begin(job, now):
        return None
    found = branch_day(branch=job.branch, day=job.day)
    names = [one.call.name for one in found.forklift.served] if found.forklift else []
    name = next((one for one in names if one in due and found.goes_to.get(one)), None)
    lane = found.goes_to[name] if name else None
    if name is None or lane is None or _Queue.of(_work(job)).before(name, found, now):
        return None
    return ArrivalNext(found.arrivals[name], lane)


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


def _that_day(job: Job) -> QuerySet[Job]:
    return Job.objects.filter(branch=job.branch_id, day=job.day, status__in=Job.AT_WORK)


def _used_by(job: Job, now: datetime) -> str | None:
    """The load whose people have the forklift."""
    in_hand = Assignment.objects.filter(
        task__job__in=_that_day(job),
        task__kind__in=BY_FORKLIFT,
        ended_at__isnull=True,
        given_at__gt=now - FORGOTTEN_AFTER,
    )
    return in_hand.values_list("task__job__load__reference", flat=True).first()


def _work(job: Job) -> QuerySet[Task]:
    """What the day's jobs with a crew still have for the forklift."""
    manned = CrewMember.objects.filter(job=OuterRef("job"), active=True)
    work = Task.objects.filter(
        Exists(manned), job__in=_that_day(job), kind__in=_OF_PLANS, status__in=Task.OPEN
    )
    return work.select_related("job__load", "job__branch")


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
        for load in self.left:
            other, free = self._free(load)
            earlier = free and other.pk != job.pk and _wanted_at(other, free) < due
            if earlier and _can_begin(other, now):
                return load
        return None

    def before(self, name: str, found: BranchDay, now: datetime) -> bool:
        """Whether somebody can begin with what stands before that call in the forklift's day."""
        served = found.forklift.served if found.forklift else ()
        calls = [one.call for one in served]
        place = next(n for n, call in enumerate(calls) if call.name == name)
        first = {(call.name.rpartition(":")[0], call.does, call.vault) for call in calls[:place]}
        for load in self.left:
            other, free = self._free(load)
            comes_first = any((load, task.kind, task.vault) in first for task in free)
            if comes_first and _can_begin(other, now):
                return True
        return False

    def _free(self, load: str) -> tuple[Job, list[Task]]:
        """What of a load's work in the lanes can be begun."""
        job = self.left[load][0].job
        ready = [one for one in self.left[load] if one.status == Task.Status.READY]
        return job, [one for one in ready if self.waits(job, one) is None]


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
