"""The dispatcher's pages: the jobs of a day, what needs a look, one job in full."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.db.models import CharField, Count, Exists, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.db.models.functions import Cast

from inventory.models import Hold, User
from jobs.folding import State
from jobs.folding.state import ON_DOCK, pads_in_truck
from jobs.models import Assignment, CrewMember, Event, Job, Pairing, Replan, Stream, Task
from jobs.selectors.access import Person, jobs_visible
from jobs.selectors.days import CrewLine
from jobs.selectors.forecasts import JobForecast, forecasts_of
from jobs.selectors.forklift_turns import another_first
from jobs.selectors.notices import TOLD, notice_of
from jobs.selectors.order_choices import StandingOrder, job_order
from jobs.selectors.states import state_of
from loading.models import LoadPlan, PlanRun
from loading.selectors import load_plan_versions

CONFLICTS_SHOWN = 20
TOLD_FOR = timedelta(minutes=30)
"""So long a new plan counts as news to the dispatcher."""


@dataclass(frozen=True, slots=True)
class Alert:
    """Something that a dispatcher should look at; `kind` is a word, `subject` what it is about."""

    kind: str
    subject: str = ""


@dataclass(frozen=True, slots=True)
class DayLine:
    """A job as the day shows it; withdrawn tasks do not count. Without a forecast before it has
    tasks and after the last."""

    job: Job
    held: bool
    done: int
    tasks: int
    crew: tuple[CrewLine, ...]
    alerts: tuple[Alert, ...]
    forecast: JobForecast | None = None

    @property
    def percent(self) -> int:
        return 100 * self.done // self.tasks if self.tasks else 0

    @property
    def is_late(self) -> bool:
        return any(alert.kind == "late" for alert in self.alerts)


@dataclass(frozen=True, slots=True)
class JobBoard:
    """One job with the versions of its plan, the last planning, and what was reported.

    `exceptions` are of pieces and, by their codes, of vaults.
    """

    line: DayLine
    plans: Sequence[LoadPlan]
    run: PlanRun | None
    pads: int
    exceptions: Sequence[dict[str, str]]
    conflicts: Sequence[Event]
    order: StandingOrder


def day_board(*, user: Person, day: date, now: datetime) -> list[DayLine]:
    """A day's jobs that a person may see: those that are late or will be, the latest first, those
    that need a look, then by window."""
    jobs = list(_counted(jobs_visible(user=user).filter(day=day), now))
    forecasts = forecasts_of(jobs=jobs, now=now)
    lines = [replace(_line(job, now), forecast=forecasts.get(job.pk)) for job in jobs]
    return sorted(lines, key=_order)


def _order(line: DayLine) -> tuple[bool, int, bool, datetime]:
    late_min = line.forecast.late_min if line.forecast else 0
    return not line.is_late, -late_min, not line.alerts, line.job.window_end


def job_board(*, job: Job, now: datetime) -> JobBoard:
    """Everything about one job that a dispatcher decides by."""
    [counted] = _counted(Job.objects.filter(pk=job.pk).select_related("branch"), now)
    state = state_of(counted)
    conflicts = Event.objects.filter(
        stream__kind="job", stream__key=str(job.pk), outcome=Event.Outcome.CONFLICT
    )
    order = job_order(job=job)
    return JobBoard(
        line=_line(counted, now),
        plans=list(load_plan_versions(load=job.load).order_by("-version")),
        run=job.load.runs.defer("request_document").first(),
        pads=pads_in_truck(state),
        exceptions=[*state["exceptions"], *_vaults_damaged(state)],
        conflicts=list(conflicts.select_related("actor").order_by("-sequence")[:CONFLICTS_SHOWN]),
        order=order,
    )


def _vaults_damaged(state: State) -> Iterator[dict[str, str]]:
    for code, said in state["vault_damage"].items():
        yield {"tag": code, "note": said["value"]}


def _counted(jobs: QuerySet[Job], now: datetime) -> QuerySet[Job]:
    told = Replan.objects.filter(
        Q(finished_at__isnull=True, second_look=False) | TOLD & Q(finished_at__gt=now - TOLD_FOR)
    )
    aboard = Q(shipment=OuterRef("load__release__shipment")) | Q(
        shipment__releases__loads_besides=OuterRef("load")
    )
    hold = Hold.objects.filter(aboard, lifted_at__isnull=True)
    standing = ~Q(tasks__status=Task.Status.WITHDRAWN)
    return (
        jobs.select_related("state", "load__truck", "load__dock", "load__release__shipment")
        .prefetch_related(
            Prefetch("crew", queryset=_crew(now)),
            Prefetch("replans", queryset=told.order_by("asked_at"), to_attr="replans_told"),
        )
        .annotate(
            held=Exists(hold),
            task_count=Count("tasks", filter=standing),
            done_count=Count("tasks", filter=Q(tasks__status=Task.Status.DONE)),
        )
    )


def _crew(now: datetime) -> QuerySet[CrewMember]:
    """With the task in hand, the phones that work, and when each was last heard of on the job."""
    opened = Assignment.objects.filter(ended_at__isnull=True).select_related("task")
    paired = Pairing.objects.filter(device__revoked_at__isnull=True, until__gt=now)
    heard = Event.objects.filter(
        actor=OuterRef("user"),
        stream__kind=Stream.Kind.JOB,
        stream__key=Cast(OuterRef("job"), CharField()),
    ).order_by("-id")
    return (
        CrewMember.objects.select_related("user")
        .annotate(heard_at=Subquery(heard.values("recorded_at")[:1]))
        .prefetch_related(
            Prefetch("assignments", queryset=opened, to_attr="in_hand"),
            Prefetch(
                "pairings",
                queryset=paired.exclude(device=None).select_related("device").order_by("-made_at"),
                to_attr="paired",
            ),
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
        *_waiting(job, crew, at_work, now),
        *_reported(state_of(job)),
        *_replanned(job),
    )
    return DayLine(job=job, held=held, done=done, tasks=tasks, crew=crew, alerts=alerts)


def _waiting(job: Job, crew: Sequence[CrewLine], at_work: bool, now: datetime) -> Iterator[Alert]:
    """Who has nothing to do while work is left; the warehouse's reason may be a full dock, or that
    another dock has the forklift or goes first in a lane."""
    idle = [one for one in crew if at_work and one.member.active and one.task is None]
    for person in idle:
        if person.member.part == CrewMember.Part.LOADER:
            yield Alert("loader_waits", _name(person.member.user))
    on_dock = [v for v in state_of(job)["vaults"].values() if v["stage"] == ON_DOCK]
    if not any(one.member.part == CrewMember.Part.WAREHOUSE for one in idle):
        return
    if len(on_dock) >= job.load.dock.vault_spots:
        yield Alert("dock_full", job.load.dock.name)
    turns = another_first(job=job, now=now)
    if turns.used_by is not None:
        yield Alert("forklift_in_use")
    for load in sorted(set(turns.waiting.values())):
        yield Alert("another_first", load)


def _name(user: User) -> str:
    return user.get_full_name() or user.username


def _reported(state: State) -> Iterator[Alert]:
    for code, vault in state["vaults"].items():
        if vault["not_found"]:
            yield Alert("vault_missing", code)
        elif vault["blocked"]:
            yield Alert("vault_blocked", code)
    for tag, piece in state["pieces"].items():
        if piece["missing"]:
            yield Alert("piece_missing", tag)
        elif piece["does_not_fit"]:
            yield Alert("does_not_fit", tag)


def _replanned(job: Job) -> Iterator[Alert]:
    """That the rest is being planned anew, or what came of it within the last half hour."""
    replans: list[Replan] = job.replans_told  # type: ignore[attr-defined]
    if any(replan.finished_at is None for replan in replans):
        yield Alert("replanning")
    settled = [replan for replan in replans if replan.finished_at is not None]
    if settled:
        newest = max(settled, key=lambda replan: (replan.finished_at, replan.asked_at))
        yield Alert("replanned", str(notice_of(newest).sentence))


def _crew_line(member: CrewMember) -> CrewLine:
    in_hand: list[Assignment] = member.in_hand  # type: ignore[attr-defined]
    paired: list[Pairing] = member.paired  # type: ignore[attr-defined]
    heard_at: datetime | None = member.heard_at  # type: ignore[attr-defined]
    return CrewLine(
        member=member,
        task=in_hand[0].task if in_hand else None,
        phone=paired[0].device if paired else None,
        heard_at=heard_at,
    )
