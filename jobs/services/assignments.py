"""Giving out the tasks that are ready, and finding jobs whose message was lost."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import cast
from uuid import UUID

from django.db import transaction
from django.db.models import Exists, F, OuterRef, Q, QuerySet

from inventory.models import User
from jobs.folding import State
from jobs.folding.state import is_paused
from jobs.models import Assignment, CrewMember, Job, JobState, Replan, Task
from jobs.scheduling import Person, hand_out
from jobs.services.acceptance import job_tasks_make
from jobs.services.live import change_publish
from jobs.services.sending import assigning_send_now
from loading.selectors import load_is_held

_INTO_THE_TRUCK = ("carry", "load", "fill", "close")
ANSWERED_WITHIN = timedelta(seconds=15)
"""So long the loader waits for a replan to be taken up; without a worker work goes on as it was."""
AT_WORK = (Job.Status.ACCEPTED, Job.Status.RUNNING)


@transaction.atomic
def tasks_assign(*, job_id: UUID, now: datetime) -> Sequence[Assignment]:
    """Give ready tasks, in tier order, to people who are free; give back what was given.

    Any number of workers may do this at once: they take turns at the job's row, and people on
    two jobs are locked as well, so nobody gets two tasks. Nothing is given out of a job that
    is closed or paused, or whose shipment is held. While the rest is planned anew, what goes into
    the truck is given out only as far as it stays whatever comes.
    """
    job = Job.objects.select_for_update(no_key=True, of=("self",)).filter(pk=job_id).first()
    if job is None or job.status not in AT_WORK:
        return ()
    if load_is_held(load=job.load):
        return ()
    members = _crew(job, now)
    if _is_paused(job):
        return ()
    tasks = {task.key: task for task in _ready(job, now)}
    handout = hand_out(list(tasks.values()), _people(members))
    by_key = {_person_key(member): member for member in members}
    given = [
        Assignment(task=tasks[key], member=member, person_id=member.user_id, given_at=now)
        for key, team in handout.given
        for member in (by_key[person] for person in team)
    ]
    _hand_over(job, given)
    if given:
        change_publish(job.id, job.branch_id)
    return given


def work_resend(*, now: datetime) -> list[UUID]:
    """Find the jobs on which something waits though nobody was told, and tell the workers.

    That is: an accepted plan without tasks whose hold was lifted, and ready tasks while
    somebody on the crew is free. A message too many does no harm.
    """
    for job in Job.objects.filter(status__in=AT_WORK).exclude(tasks_plan=F("plan")):
        job_tasks_make(job=job, now=now)
    opened = Assignment.objects.filter(person=OuterRef("user"), ended_at__isnull=True)
    free = CrewMember.objects.filter(~Exists(opened), job=OuterRef("pk"), active=True)
    ready = Task.objects.filter(job=OuterRef("pk"), status=Task.Status.READY)
    waiting = Job.objects.filter(Exists(ready), Exists(free), status__in=AT_WORK)
    told = list(waiting.order_by("day", "id").values_list("id", flat=True))
    for job_id in told:
        assigning_send_now(job_id)
    return told


def _is_paused(job: Job) -> bool:
    stored = JobState.objects.filter(job=job).first()
    return stored is not None and is_paused(cast(State, stored.state))


def _ready(job: Job, now: datetime) -> QuerySet[Task]:
    tasks = job.tasks.filter(status=Task.Status.READY)
    asked = Q(status=Replan.Status.ASKED, asked_at__gt=now - ANSWERED_WITHIN)
    at_work = Q(status=Replan.Status.PLANNING, lease_until__gt=now)
    replans = list(Replan.objects.filter(asked | at_work, job=job))
    if replans:
        frozen = [key for replan in replans for key in replan.frozen]
        tasks = tasks.exclude(Q(kind__in=_INTO_THE_TRUCK) & ~Q(key__in=frozen))
    return tasks


def _crew(job: Job, now: datetime) -> Sequence[CrewMember]:
    staying = Q(leaves_at__isnull=True) | Q(leaves_at__gt=now)
    members = list(job.crew.filter(staying, active=True).order_by("id"))
    people = [member.user_id for member in members]
    # Locked in one order, so that two jobs with the same people cannot block each other.
    list(User.objects.select_for_update(no_key=True).filter(pk__in=people).order_by("pk"))
    return members


def _people(members: Sequence[CrewMember]) -> list[Person]:
    persons = [member.user_id for member in members]
    opened = Assignment.objects.filter(person__in=persons, ended_at__isnull=True)
    busy = frozenset(opened.values_list("person_id", flat=True))
    return [
        Person(key=_person_key(member), part=member.part, busy=member.user_id in busy)  # type: ignore[arg-type]
        for member in members
    ]


def _person_key(member: CrewMember) -> str:
    """Fixed width, so that the order of the keys is the order in which people were put on."""
    return f"{member.pk:012d}"


def _hand_over(job: Job, given: Sequence[Assignment]) -> None:
    if not given:
        return
    Assignment.objects.bulk_create(given)
    ids = {assignment.task_id for assignment in given}
    Task.objects.filter(id__in=ids, status=Task.Status.READY).update(status=Task.Status.ASSIGNED)
    Job.objects.filter(pk=job.pk, status=Job.Status.ACCEPTED).update(status=Job.Status.RUNNING)
