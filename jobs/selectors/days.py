"""A day's jobs, how far each is, and who is on it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Count, Prefetch, Q

from inventory.models import Device, User
from jobs.models import Assignment, CrewMember, Job, Task
from jobs.selectors.access import Person, jobs_visible
from loading.selectors import load_is_held


@dataclass(frozen=True, slots=True)
class CrewLine:
    """Somebody on a crew, and the task in hand; with the phone and the last word, where asked."""

    member: CrewMember
    task: Task | None
    phone: Device | None = None
    heard_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class JobLine:
    """A job as the day shows it; withdrawn tasks do not count."""

    job: Job
    held: bool
    done: int
    tasks: int
    crew: tuple[CrewLine, ...]

    @property
    def percent(self) -> int:
        return 100 * self.done // self.tasks if self.tasks else 0


def day_of(*, user: Person, now: datetime) -> date:
    """Today, where the person works."""
    branch = user.branch if isinstance(user, User) else None
    return now.astimezone(ZoneInfo(branch.time_zone if branch else "UTC")).date()


def is_before_day(*, job: Job, now: datetime) -> bool:
    """Whether a job's day has not begun yet, by its branch's clocks."""
    return now.astimezone(ZoneInfo(job.branch.time_zone)).date() < job.day


def day_jobs(*, user: Person, day: date) -> Sequence[JobLine]:
    """The jobs of a day that a person may see, in the order of their windows."""
    return [job_line(job=job) for job in jobs_visible(user=user).filter(day=day)]


def job_line(*, job: Job) -> JobLine:
    counts = job.tasks.exclude(status=Task.Status.WITHDRAWN).aggregate(
        tasks=Count("id"), done=Count("id", filter=Q(status=Task.Status.DONE))
    )
    return JobLine(
        job=job,
        held=load_is_held(load=job.load),
        done=counts["done"],
        tasks=counts["tasks"],
        crew=tuple(_crew_line(member) for member in _crew(job)),
    )


def _crew(job: Job) -> Sequence[CrewMember]:
    opened = Assignment.objects.filter(ended_at__isnull=True).select_related("task")
    return list(
        job.crew.select_related("user").prefetch_related(
            Prefetch("assignments", queryset=opened, to_attr="in_hand")
        )
    )


def _crew_line(member: CrewMember) -> CrewLine:
    in_hand: list[Assignment] = member.in_hand  # type: ignore[attr-defined]
    return CrewLine(member=member, task=in_hand[0].task if in_hand else None)
