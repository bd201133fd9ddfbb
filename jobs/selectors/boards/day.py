"""The dispatcher's pages: the jobs of a day, what needs a look, one job in full."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, Exists, OuterRef, Prefetch, Q, QuerySet

from inventory.models import Hold
from jobs.folding import State
from jobs.folding.state import pads_in_truck
from jobs.models import Assignment, CrewMember, Event, Job, Task
from jobs.selectors.access import Person, jobs_visible
from jobs.selectors.boards.standing import state_of
from jobs.selectors.days import CrewLine
from loading.models import LoadPlan, PlanRun

CONFLICTS_SHOWN = 20


@dataclass(frozen=True, slots=True)
class Alert:
    """Something that a dispatcher should look at; `kind` is a word, `subject` what it is about."""

    kind: str
    subject: str = ""


@dataclass(frozen=True, slots=True)
class DayLine:
    """A job as the day shows it; withdrawn tasks do not count."""

    job: Job
    held: bool
    done: int
    tasks: int
    crew: tuple[CrewLine, ...]
    alerts: tuple[Alert, ...]

    @property
    def percent(self) -> int:
        return 100 * self.done // self.tasks if self.tasks else 0


@dataclass(frozen=True, slots=True)
class JobBoard:
    """One job with the versions of its plan, the last planning, and what was reported."""

    line: DayLine
    plans: Sequence[LoadPlan]
    run: PlanRun | None
    pads: int
    exceptions: Sequence[dict[str, str]]
    conflicts: Sequence[Event]


def day_board(*, user: Person, day: date, now: datetime) -> list[DayLine]:
    """The jobs of a day that a person may see: first those that need a look, then by window."""
    lines = [_line(job, now) for job in _counted(jobs_visible(user=user).filter(day=day))]
    return sorted(lines, key=lambda line: (not line.alerts, line.job.window_end))


def job_board(*, job: Job, now: datetime) -> JobBoard:
    """Everything about one job that a dispatcher decides by."""
    [counted] = _counted(Job.objects.filter(pk=job.pk).select_related("branch"))
    state = state_of(counted)
    conflicts = Event.objects.filter(
        stream__kind="job", stream__key=str(job.pk), outcome=Event.Outcome.CONFLICT
    )
    return JobBoard(
        line=_line(counted, now),
        plans=list(job.load.plans.order_by("-version")),
        run=job.load.runs.first(),
        pads=pads_in_truck(state),
        exceptions=state["exceptions"],
        conflicts=list(conflicts.select_related("actor").order_by("-sequence")[:CONFLICTS_SHOWN]),
    )


def _counted(jobs: QuerySet[Job]) -> QuerySet[Job]:
    opened = Assignment.objects.filter(ended_at__isnull=True).select_related("task")
    crew = CrewMember.objects.select_related("user").prefetch_related(
        Prefetch("assignments", queryset=opened, to_attr="in_hand")
    )
    hold = Hold.objects.filter(shipment=OuterRef("load__release__shipment"), lifted_at__isnull=True)
    standing = ~Q(tasks__status=Task.Status.WITHDRAWN)
    return (
        jobs.select_related("state", "load__truck", "load__dock", "load__release__shipment")
        .prefetch_related(Prefetch("crew", queryset=crew))
        .annotate(
            held=Exists(hold),
            task_count=Count("tasks", filter=standing),
            done_count=Count("tasks", filter=Q(tasks__status=Task.Status.DONE)),
        )
    )


def _line(job: Job, now: datetime) -> DayLine:
    crew = tuple(_crew_line(member) for member in job.crew.all())
    done, tasks = job.done_count, job.task_count  # type: ignore[attr-defined]
    held: bool = job.held  # type: ignore[attr-defined]
    at_work = 0 < done < tasks
    alerts = (
        *((Alert("held"),) if held else ()),
        *((Alert("late"),) if done < tasks and now > job.window_end else ()),
        *_waiting(crew, at_work),
        *_reported(state_of(job)),
    )
    return DayLine(job=job, held=held, done=done, tasks=tasks, crew=crew, alerts=alerts)


def _waiting(crew: Sequence[CrewLine], at_work: bool) -> Iterator[Alert]:
    for person in crew:
        is_loader = person.member.part == CrewMember.Part.LOADER
        if at_work and is_loader and person.member.active and person.task is None:
            yield Alert("loader_waits", person.member.user.get_full_name())


def _reported(state: State) -> Iterator[Alert]:
    for code, vault in state["vaults"].items():
        if vault["not_found"]:
            yield Alert("vault_missing", code)
    for tag, piece in state["pieces"].items():
        if piece["missing"]:
            yield Alert("piece_missing", tag)
        elif piece["does_not_fit"]:
            yield Alert("does_not_fit", tag)


def _crew_line(member: CrewMember) -> CrewLine:
    in_hand: list[Assignment] = member.in_hand  # type: ignore[attr-defined]
    return CrewLine(member=member, task=in_hand[0].task if in_hand else None)
