"""A helper's page: the task in hand and what probably comes after it."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.models import User
from jobs.models import CrewMember, Job, Task
from jobs.scheduling.assigning import PARTS_FOR
from jobs.scheduling.carrying import ShiftMass
from jobs.selectors.floor_crew import member_key
from jobs.selectors.floors import floor_schedule
from jobs.selectors.tasks import TaskCard, shift_mass_of, task_card, task_in_hand
from loading.selectors import plan_long_fields

AFTER_SHOWN = 2


@dataclass(frozen=True, slots=True)
class HelperBoard:
    """`card` is None while there is nothing to do; `job` then is the one the person waits on.

    `carried` is what the person has lifted and carried that day, None without a job.
    """

    card: TaskCard | None
    job: Job | None
    member: CrewMember | None
    after: tuple[TaskCard, ...]
    carried: ShiftMass | None = None


def helper_board(*, user: User, job: Job | None = None) -> HelperBoard:
    """What a person does now. `job` narrows it to the one that a paired phone belongs to."""
    card = task_in_hand(user=user)
    if card is not None and job is not None and card.job.pk != job.pk:
        card = None
    member = _member(user, card.job if card else job)
    if member is None:
        return HelperBoard(card, card.job if card else None, None, ())
    after = _after(member, card.task if card else None)
    return HelperBoard(
        card=card,
        job=member.job,
        member=member,
        after=tuple(task_card(task=task, user=user) for task in after),
        carried=shift_mass_of(user=user, day=member.job.day),
    )


def _member(user: User, job: Job | None) -> CrewMember | None:
    places = CrewMember.objects.filter(user=user).select_related("job__branch", "job__load__truck")
    if job is not None:
        return places.filter(job=job).first()
    at_work = (Job.Status.ACCEPTED, Job.Status.RUNNING)
    return places.filter(active=True, job__status__in=at_work).order_by("job__window_start").first()


def _after(member: CrewMember, task: Task | None) -> Sequence[Task]:
    """What the floor's schedule has for the person next; these stay even if it is made anew.

    Without one, the next tasks of the person's part that nobody has.
    """
    waiting = (
        Task.objects.filter(job=member.job_id, status__in=(Task.Status.READY, Task.Status.WAITING))
        .select_related("plan", "job__branch", "job__load__truck")
        .defer(*plan_long_fields("plan"))
    )
    stored = floor_schedule(job=member.job)
    mine = [e.task for e in stored.schedule.of(member_key(member.pk))] if stored else []
    if mine:
        still = set(waiting.filter(key__in=mine).values_list("key", flat=True))
        next_ones = [key for key in mine if key in still][:AFTER_SHOWN]
        return sorted(waiting.filter(key__in=next_ones), key=lambda one: next_ones.index(one.key))
    waiting = waiting.filter(kind__in=[k for k, p in PARTS_FOR.items() if p[0] == member.part])
    if task is not None:
        waiting = waiting.filter(sequence__gt=task.sequence)
    return list(waiting.order_by("sequence")[:AFTER_SHOWN])
