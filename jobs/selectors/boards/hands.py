"""What each of a crew has in hand: for the foreman, who reports for people without a phone."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef, Prefetch
from django.db.models.query import prefetch_related_objects

from inventory.models import User
from jobs.models import Assignment, CrewMember, Job, Pairing, Task
from jobs.selectors.tasks import TaskCard, task_card_with
from loading.models import LoadPlan


@dataclass(frozen=True, slots=True)
class InHand:
    """A task that somebody has, with all who share it (`card.others`).

    `without_phone`: one of them has no phone of their own on this job.
    """

    card: TaskCard
    without_phone: bool


@dataclass(frozen=True, slots=True)
class HandsBoard:
    """Tasks in hand, those of people without a phone first; and who has nothing to do."""

    in_hand: Sequence[InHand]
    free: Sequence[CrewMember]


def hands_board(*, job: Job, now: datetime) -> HandsBoard:
    """What the crew of a job has in hand."""
    paired = Pairing.objects.filter(
        member=OuterRef("pk"), device__revoked_at__isnull=True, device__isnull=False, until__gt=now
    )
    members = list(
        job.crew.filter(active=True)
        .select_related("user")
        .annotate(has_phone=Exists(paired))
        .order_by("id")
    )
    phones = {member.user_id: member.has_phone for member in members}
    tasks, people = _in_hand(job)
    found = [
        InHand(
            task_card_with(task=task, others=tuple(people[task])),
            not all(phones.get(person.pk) for person in people[task]),
        )
        for task in tasks
    ]
    busy = {person.pk for team in people.values() for person in team}
    return HandsBoard(
        in_hand=sorted(found, key=lambda one: (not one.without_phone, one.card.task.sequence)),
        free=[member for member in members if member.user_id not in busy],
    )


def _in_hand(job: Job) -> tuple[Sequence[Task], dict[Task, list[User]]]:
    """The tasks that are in hands, and whose."""
    opened = Assignment.objects.filter(task__job=job, ended_at__isnull=True)
    people: defaultdict[Task, list[User]] = defaultdict(list)
    for one in opened.select_related("task", "person").order_by("task__sequence", "id"):
        people[one.task].append(one.person)
    tasks = list(people)
    for task in tasks:
        task.job = job
    short = LoadPlan.objects.defer("request_document", "document", "figures")
    prefetch_related_objects(tasks, Prefetch("plan", queryset=short))
    return tasks, people
