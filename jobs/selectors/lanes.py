"""What a day's jobs have in common in the warehouse: lanes, and the forklift."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import permutations
from zoneinfo import ZoneInfo

from inventory.models import Branch, VaultArrival
from inventory.selectors import arrival_list
from jobs.models import Job, Task
from loading.models import LoadPlan
from loading.planner.pulls import Yard
from loading.selectors import (
    Done,
    ForkliftDay,
    Inbound,
    SharedLanes,
    forklift_day,
    inbound_lanes,
    shared_lanes,
    warehouse_yard,
)

FORKLIFT_KINDS = ("move", "pull", "clear", "store")


@dataclass(frozen=True, slots=True)
class BranchDay:
    """What the forklift of a branch does on a day, by the accepted plans and the arrivals.

    `goes_to` says by the arrival's key into which lane a vault from outside goes; None where each
    that has room would bar a vault that is to be pulled.
    """

    plans: Sequence[LoadPlan]
    arrivals: Mapping[str, VaultArrival]
    shared: SharedLanes | None
    forklift: ForkliftDay | None
    goes_to: Mapping[str, str | None]
    yard: Yard


def branch_day(*, branch: Branch, day: date) -> BranchDay:
    """The forklift's day as it is planned, and the lanes as they stand now."""
    jobs = jobs_accepted(branch=branch, day=day)
    plans, done = plans_of(jobs), work_done(jobs)
    arrivals = arrivals_of_day(branch=branch, day=day)
    inbound = inbound_of(arrivals)
    shared = shared_lanes(plans=plans, before=in_turn(jobs))
    order = {load: n for n, load in enumerate(shared.order)} if shared else {}
    in_order = sorted(plans, key=lambda plan: order.get(plan.load.reference, len(order)))
    yard = warehouse_yard(branch=branch)
    return BranchDay(
        plans=plans,
        arrivals={str(one.pk): one for one in arrivals},
        shared=shared,
        forklift=forklift_day(
            plans=with_begins(jobs),
            inbound=inbound,
            done=done,
            to_do=work_to_do(jobs),
            shared=shared,
            evening_s=0,
        ),
        goes_to=inbound_lanes(yard=yard, plans=in_order, inbound=inbound, done=done),
        yard=yard,
    )


def job_lanes_shared(*, job: Job) -> SharedLanes | None:
    """The order in which the accepted jobs of the day pull, if they need a lane in common."""
    jobs = jobs_accepted(branch=job.branch, day=job.day)
    return shared_lanes(plans=plans_of(jobs), before=in_turn(jobs))


def in_turn(jobs: Sequence[Job]) -> list[tuple[str, str]]:
    """Pairs of loads of which the first job's window begins earlier."""
    return [
        (first.load.reference, then.load.reference)
        for first, then in permutations(jobs, 2)
        if first.window_start < then.window_start
    ]


def job_forklift_day(*, job: Job, shared: SharedLanes | None = None) -> ForkliftDay | None:
    """The forklift's day for all accepted jobs of the day, begun at their windows, and for what
    comes from outside."""
    jobs = jobs_accepted(branch=job.branch, day=job.day)
    arrivals = arrivals_of_day(branch=job.branch, day=job.day)
    return forklift_day(
        plans=with_begins(jobs),
        inbound=inbound_of(arrivals),
        done=work_done(jobs),
        to_do=work_to_do(jobs),
        shared=shared,
    )


def jobs_accepted(*, branch: Branch, day: date) -> Sequence[Job]:
    """The jobs of a day that have a plan and are not closed."""
    open_jobs = Job.objects.filter(
        branch=branch,
        day=day,
        plan__isnull=False,
        status__in=(Job.Status.ACCEPTED, Job.Status.RUNNING),
    )
    return list(open_jobs.select_related("load", "plan__load__branch", "plan__load__dock"))


def plans_of(jobs: Sequence[Job]) -> list[LoadPlan]:
    return [job.plan for job in jobs if job.plan is not None]


def with_begins(jobs: Sequence[Job]) -> list[tuple[LoadPlan, datetime]]:
    return [(job.plan, job.window_start) for job in jobs if job.plan is not None]


def work_done(jobs: Sequence[Job]) -> tuple[Done, ...]:
    """What the forklift has done for these jobs."""
    done = Task.objects.filter(
        job__in=[job.pk for job in jobs], kind__in=FORKLIFT_KINDS, status=Task.Status.DONE
    )
    return tuple(done.values_list("job__load__reference", "kind", "vault"))


def work_to_do(jobs: Sequence[Job]) -> dict[str, list[tuple[str, str]]]:
    """By load, what the forklift has still to do with which vault, where the plan's tasks stand."""
    at_work = {job.pk: job.load.reference for job in jobs if job.tasks_plan_id == job.plan_id}
    work: dict[str, list[tuple[str, str]]] = {load: [] for load in at_work.values()}
    left = Task.objects.filter(job__in=at_work, kind__in=FORKLIFT_KINDS, status__in=Task.OPEN)
    for job_id, kind, vault in left.values_list("job", "kind", "vault"):
        work[at_work[job_id]].append((kind, vault))
    return work


def arrivals_of_day(*, branch: Branch, day: date) -> Sequence[VaultArrival]:
    """The vaults that are expected on a day; on what was due before, too."""
    zone = ZoneInfo(branch.time_zone)
    until = datetime.combine(day + timedelta(days=1), datetime.min.time(), zone)
    branches = Branch.objects.filter(pk=branch.pk)
    return list(arrival_list(branches=branches).filter(expected_at__lt=until))


def inbound_of(arrivals: Sequence[VaultArrival]) -> list[Inbound]:
    return [Inbound(str(one.pk), one.vault.code, one.expected_at) for one in arrivals]
