"""Giving out the tasks that are ready, and finding jobs whose message was lost."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import Exists, F, OuterRef, Q, QuerySet

from inventory.models import Branch
from jobs.models import Assignment, CrewMember, FloorPlan, Job, Replan, Task
from jobs.scheduling import Handout, Person, hand_out
from jobs.scheduling.assigning import BY_FORKLIFT
from jobs.scheduling.floor import Timely, hand_out_timely
from jobs.scheduling.floor.request import FORKLIFT
from jobs.selectors.floor_crew import member_key
from jobs.selectors.floors import StoredSchedule, crew_at_hand, stored_schedule
from jobs.selectors.forklift_turns import arrival_next, arrivals_waiting, forklift_turns
from jobs.selectors.shifts import skills_of
from jobs.selectors.states import is_paused
from jobs.services.acceptance import job_tasks_make
from jobs.services.arrivals import stale_stows, stow_task, stows_settle
from jobs.services.live import change_publish
from jobs.services.sending import assigning_send_now
from jobs.services.task_states import assignments_end
from loading.selectors import load_is_held

_INTO_THE_TRUCK = ("carry", "load", "fill", "close")
ANSWERED_WITHIN = timedelta(seconds=15)
"""So long the loader waits for a replan to be taken up; without a worker work goes on as it was."""
LOOKED_AT_AGAIN = timedelta(seconds=30)
"""So long the sweep leaves a job alone on which something is ready for nobody who is free."""


@transaction.atomic
def tasks_assign(*, job_id: UUID, now: datetime) -> Sequence[Assignment]:
    """Give ready tasks to people who are free, by the floor's schedule; give back what was given.

    What the loader wants for a gap comes first; what the schedule does not know goes to whoever is
    free, in tier order. Any number of workers
    may do this at once: they take turns at the job's row, and people on two jobs are locked as
    well, so nobody gets two tasks. Nothing is given out of a job that is closed or paused, or
    whose shipment is held, and nothing for the forklift while it is in use on any job of the
    branch or another one goes first in that lane. A vault from outside that is next for it is put
    away by whoever of the job can. While the rest is planned anew, what goes into
    the truck is given out only as far as it stays whatever comes.
    """
    locked = Job.objects.select_for_update(no_key=True, of=("self",))
    job = locked.select_related("load").filter(pk=job_id).first()
    if job is None or job.status not in Job.AT_WORK:
        return ()
    stale = stows_settle(job=job)
    if stale:
        assignments_end(job=job, now=now, ending=Assignment.Ending.WITHDRAWN, tasks=stale)
    if load_is_held(load=job.load) or is_paused(job=job):
        return ()
    members = _crew(job, now)
    replans = _replans(job, now)
    waiting = list(_ready(job, replans))
    floor = FloorPlan.objects.filter(job=job).defer("document").first()
    stored = stored_schedule(floor) if floor else None
    ready = _in_turn(job, waiting, stored, now)
    handout, looks_at = _handed_out(_Floor(job, stored, _people(job, members, ready), now), ready)
    tasks = {task.key: task for task in ready}
    by_key = {member_key(member.pk): member for member in members}
    given = [
        Assignment(task=tasks[key], member=member, person_id=member.user_id, given_at=now)
        for key, team in handout.given
        for member in (by_key[person] for person in team)
    ]
    _hand_over(job, given)
    if replans or len(handout.given) == len(waiting):
        looks_at = None
    if floor is not None and floor.looks_at != looks_at:
        FloorPlan.objects.filter(pk=floor.pk).update(looks_at=looks_at)
    if given:
        change_publish(job.id, job.branch_id)
    return given


def work_resend(*, now: datetime) -> list[UUID]:
    """Find the jobs on which something waits though nobody was told, and tell the workers.

    That is: an accepted plan without tasks whose hold was lifted; ready tasks, or a vault from
    outside that is due, while somebody on the crew is free, unless a look since the last change
    found that this must wait until a moment that has not come; and a vault that is in somebody's
    hands though it came another way. A message too many does no harm.
    """
    for job in Job.objects.filter(status__in=Job.AT_WORK).exclude(tasks_plan=F("plan")):
        job_tasks_make(job=job, now=now)
    opened = Assignment.objects.filter(person=OuterRef("user"), ended_at__isnull=True)
    free = CrewMember.objects.filter(~Exists(opened), job=OuterRef("pk"), active=True)
    ready = Task.objects.filter(job=OuterRef("pk"), status=Task.Status.READY)
    later = FloorPlan.objects.filter(job=OuterRef("pk"), looks_at__gt=now)
    due = arrivals_waiting(now=now).filter(vault__branch=OuterRef("branch"))
    about_now = Q(day__range=(now - timedelta(days=1), now + timedelta(days=1)))
    something = Q(Exists(ready)) | Q(Exists(due)) & about_now
    stale = stale_stows().filter(job=OuterRef("pk"))
    waiting = Job.objects.filter(
        something & Q(Exists(free), ~Exists(later)) | Q(Exists(stale)), status__in=Job.AT_WORK
    )
    told = list(waiting.order_by("day", "id").values_list("id", flat=True))
    for job_id in told:
        assigning_send_now(job_id)
    return told


def _replans(job: Job, now: datetime) -> Sequence[Replan]:
    """Those that hold work back: at work, or asked for and perhaps about to be.

    A second look may wait long for its turn, and nothing waits for it till then.
    """
    asked = Q(status=Replan.Status.ASKED, second_look=False, asked_at__gt=now - ANSWERED_WITHIN)
    at_work = Q(status=Replan.Status.PLANNING, lease_until__gt=now)
    return list(Replan.objects.filter(asked | at_work, job=job))


def _ready(job: Job, replans: Sequence[Replan]) -> QuerySet[Task]:
    tasks = job.tasks.filter(status=Task.Status.READY)
    if replans:
        frozen = [key for replan in replans for key in replan.frozen]
        tasks = tasks.exclude(
            Q(kind__in=_INTO_THE_TRUCK, wanted_tier__isnull=True) & ~Q(key__in=frozen)
        )
    return tasks


def _in_turn(
    job: Job, ready: Sequence[Task], stored: StoredSchedule | None, now: datetime
) -> Sequence[Task]:
    """The ready tasks without those for the forklift that have to wait: it does one at a time.

    If a vault from outside is next for it, that is one of them. With the branch's row locked, so
    that two jobs cannot both find it free.
    """
    comes = arrivals_waiting(now=now).filter(vault__branch=job.branch_id).exists()
    if not comes and not any(task.kind in BY_FORKLIFT for task in ready):
        return ready
    Branch.objects.select_for_update(no_key=True).get(pk=job.branch_id)
    others = [task for task in ready if task.kind not in BY_FORKLIFT]
    found = arrival_next(job=job, now=now) if comes else None
    task = stow_task(job=job, found=found) if found else None
    if task is not None:
        return [task, *others]
    turns = forklift_turns(job=job, ready=ready, now=now)
    mine = [task for task in ready if task not in others and task.key not in turns.waiting]
    if turns.used_by is not None or not mine:
        return others
    entries = stored.schedule.entries if stored else ()
    order = {entry.task: place for place, entry in enumerate(entries)}
    first = min(mine, key=lambda task: (order.get(task.key, len(order)), task.sequence))
    return [task for task in ready if task is first or task in others]


@dataclass(frozen=True, slots=True)
class _Floor:
    """A floor while tasks are handed out on it."""

    job: Job
    stored: StoredSchedule | None
    people: Sequence[Person]
    now: datetime


def _handed_out(floor: _Floor, ready: Sequence[Task]) -> tuple[Handout, datetime | None]:
    """Who gets what, and when to look again at what nobody got."""
    if not ready:
        return Handout((), ()), floor.now + LOOKED_AT_AGAIN
    wanted = [task for task in ready if _at_once(task)]
    first = hand_out(wanted, floor.people)
    busy = {person for _key, team in first.given for person in team}
    people = [replace(one, busy=one.busy or one.key in busy) for one in floor.people]
    rest = [task for task in ready if not _at_once(task)]
    timely = _timely(replace(floor, people=people), rest)
    handout = Handout(
        (*first.given, *timely.handout.given),
        (*first.crew_too_small, *timely.handout.crew_too_small),
    )
    if floor.stored is None or timely.looks_at_s is None:
        return handout, floor.now + LOOKED_AT_AGAIN
    return handout, floor.stored.starts_at + timedelta(seconds=timely.looks_at_s)


def _at_once(task: Task) -> bool:
    """What no schedule knows and comes before all that it knows."""
    return task.wanted_tier is not None or task.kind == Task.Kind.STOW


def _timely(floor: _Floor, ready: Sequence[Task]) -> Timely:
    stored = floor.stored
    if stored is None:
        return hand_out_timely(None, ready, floor.people, now_s=0, open_needs={}, in_hand=())
    tasks = floor.job.tasks.filter(status__in=Task.OPEN).order_by()
    open_tasks = list(tasks.values_list("key", "needs", "status"))
    held = (Task.Status.ASSIGNED, Task.Status.BEGUN)
    return hand_out_timely(
        stored.schedule,
        ready,
        floor.people,
        now_s=stored.second(floor.now),
        open_needs={key: needs for key, needs, _status in open_tasks},
        in_hand=[key for key, _needs, status in open_tasks if status in held],
    )


def _crew(job: Job, now: datetime) -> Sequence[CrewMember]:
    """Who is at hand, their people locked, in one order: two jobs that have some of them in common
    take turns and cannot block each other."""
    locked = crew_at_hand(job=job, now=now).select_related("user").order_by("user_id")
    members = locked.select_for_update(no_key=True, of=("user",))
    return sorted(members, key=lambda member: member.pk)


def _people(job: Job, members: Sequence[CrewMember], ready: Sequence[Task]) -> list[Person]:
    """Where anybody there is certified for the forklift, nobody else drives it."""
    persons = [member.user_id for member in members]
    opened = Assignment.objects.filter(person__in=persons, ended_at__isnull=True)
    busy = frozenset(opened.values_list("person_id", flat=True))
    drivers: set[int] = set()
    if any(task.kind in BY_FORKLIFT for task in ready):
        skills = skills_of(branch=job.branch, people=persons)
        drivers = {person for person, kinds in skills.items() if FORKLIFT in kinds}
    return [
        Person(
            key=member_key(member.pk),
            part=member.part,  # type: ignore[arg-type]
            busy=member.user_id in busy,
            drives=not drivers or member.user_id in drivers,
        )
        for member in members
    ]


def _hand_over(job: Job, given: Sequence[Assignment]) -> None:
    if not given:
        return
    for assignment in given:
        if assignment.task.kind == Task.Kind.STOW:
            assignment.task.save()
    Assignment.objects.bulk_create(given)
    ids = {assignment.task_id for assignment in given}
    Task.objects.filter(id__in=ids, status=Task.Status.READY).update(status=Task.Status.ASSIGNED)
    if job.status == Job.Status.ACCEPTED:
        Job.objects.filter(pk=job.pk).update(status=Job.Status.RUNNING)
