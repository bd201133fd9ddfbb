"""A job's floor as the scheduler looks at it, and the schedule that was stored."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.db.models import Prefetch, Q, QuerySet

from jobs.models import Assignment, CrewMember, FloorPlan, Job, Task
from jobs.scheduling.floor import (
    Begun,
    FloorRequest,
    FloorSchedule,
    Site,
    floor_request,
    parse_schedule,
)
from jobs.scheduling.floor.schedule import NEXT_TASKS
from jobs.scheduling.rates import WorkRates, duration_s
from jobs.selectors.floor_crew import floor_crew, member_key
from jobs.selectors.floor_room import dock_now
from jobs.selectors.rates import branch_rates
from jobs.selectors.shifts import resting
from loading.selectors import plan_of
from loading.selectors.kept import Kept

DEFAULT_PADS: Final = 1

_read: "Kept[StoredSchedule]" = Kept()


@dataclass(frozen=True, slots=True)
class StoredSchedule:
    """A schedule and the moment that its times count from."""

    starts_at: datetime
    made_at: datetime
    schedule: FloorSchedule

    def second(self, moment: datetime) -> int:
        return int((moment - self.starts_at).total_seconds())


def floor_schedule(*, job: Job) -> StoredSchedule | None:
    """The schedule that was made last, if there was one; a process reads each edition once."""
    rows = FloorPlan.objects.filter(job=job, starts_at__isnull=False)
    row = rows.defer("document").first()
    return stored_schedule(row) if row else None


def stored_schedule(row: FloorPlan) -> StoredSchedule | None:
    """The schedule in a row, which may come without its document."""
    if row.starts_at is None:
        return None
    return _read.of((row.pk, row.edition, row.made_at), lambda: _schedule_read(row.pk))


def _schedule_read(pk: int) -> StoredSchedule:
    """Times and document of one moment, in a single look at the row."""
    row = FloorPlan.objects.get(pk=pk)
    assert row.starts_at is not None and row.made_at is not None  # noqa: PT018 - never taken back
    return StoredSchedule(row.starts_at, row.made_at, parse_schedule(row.document))


def next_tasks(
    *, schedule: FloorSchedule, members: Sequence[CrewMember], open_keys: Mapping[str, object]
) -> dict[str, tuple[str, ...]]:
    """The next open tasks of each member by the schedule, so many as a phone keeps ahead."""
    following = {}
    for member in members:
        key = member_key(member.pk)
        mine = [entry.task for entry in schedule.of(key) if entry.task in open_keys]
        following[key] = tuple(mine[:NEXT_TASKS])
    return following


def crew_there(*, job: Job, now: datetime) -> QuerySet[CrewMember]:
    """Who is on the floor: has come and not left yet, in the order in which they were put on."""
    staying = Q(leaves_at__isnull=True) | Q(leaves_at__gt=now)
    come = Q(comes_at__isnull=True) | Q(comes_at__lte=now)
    return job.crew.filter(staying, come, active=True).order_by("id")


def crew_at_hand(*, job: Job, now: datetime) -> QuerySet[CrewMember]:
    """Who of those is not at a planned break."""
    rests = resting(branch_id=job.branch_id, person="user", now=now)
    return crew_there(job=job, now=now).filter(~rests)


def floor_of(
    *,
    job: Job,
    now: datetime,
    former: FloorSchedule | None = None,
    forklift_away_s: tuple[tuple[int, int], ...] = (),
) -> FloorRequest:
    """The open tasks and the people of the day, from now on.

    Who comes later, or is on a break, is there from then on. What waits for room on the dock or for
    a free spot says so in its needs; the dock's limits hold besides for what lies there unplanned.
    The distances are those of a usual warehouse.
    """
    opened = Assignment.objects.filter(ended_at__isnull=True)
    tasks = list(
        job.tasks.filter(status__in=Task.OPEN)
        .order_by("sequence", "key")
        .prefetch_related(Prefetch("assignments", queryset=opened, to_attr="in_hand"))
    )
    _hurry(tasks)
    crew = floor_crew(job=job, now=now)
    there = [one.member for one in crew if one.is_there]
    rates = branch_rates(branch=job.branch)
    frozen = None
    if former is not None:
        keys = {task.key: task for task in tasks}
        frozen = next_tasks(schedule=former, members=there, open_keys=keys)
    dock = dock_now(job=job, tasks=tasks)
    return floor_request(
        tasks,
        [one.worker for one in crew],
        site=Site(
            dock_floor_mm2=dock.floor_mm2,
            vault_spots=dock.vault_spots,
            forklift_away_s=forklift_away_s,
        ),
        rates=rates,
        floor_mm2=dock.takes_mm2,
        pads=_pads(job),
        begun=_begun(tasks, there, rates, now),
        frozen=frozen,
        carried_g=_carried_g(job, there),
    )


def _hurry(tasks: Sequence[Task]) -> None:
    """What brings a wanted piece waits for nothing that goes into the truck before it."""
    loads = {task.key for task in tasks if task.kind == Task.Kind.LOAD}
    for task in tasks:
        if task.wanted_tier is not None:
            task.needs = [need for need in task.needs if need not in loads]


def _begun(
    tasks: Sequence[Task], members: Sequence[CrewMember], rates: WorkRates, now: datetime
) -> list[Begun]:
    """What is in hand, with at least a second left, however long it takes already."""
    there = {member.pk for member in members}
    found = []
    for task in tasks:
        in_hand: list[Assignment] = task.in_hand  # type: ignore[attr-defined]
        people = tuple(member_key(one.member_id) for one in in_hand if one.member_id in there)
        if people:
            since_s = int((now - min(one.given_at for one in in_hand)).total_seconds())
            takes_s = duration_s(
                rates,
                kind=task.kind,
                people=len(people),
                weight_g=task.weight_g,
                distance_mm=usual_way_mm(task.kind),
                pads=DEFAULT_PADS,
            )
            found.append(Begun(task.key, people, max(1, takes_s - max(0, since_s))))
    return found


def usual_way_mm(kind: str) -> int:
    """How far a piece or a vault goes, on the floor that the scheduler takes for the usual one."""
    site = Site()
    ways = {"carry": ("dock", "truck"), "take_out": ("truck", "dock")}
    ways |= dict.fromkeys(("pull", "store", "stow", "fetch"), ("lanes", "dock"))
    here, there = ways.get(kind, ("dock", "dock"))
    return site.distance_mm(here, there)


def _pads(job: Job) -> dict[str, int]:
    """How many pads each piece and each fill takes, by tag and by key of the task."""
    if job.tasks_plan is None:
        return {}
    request, plan = plan_of(plan=job.tasks_plan)
    pads = {item.tag: item.pads for item in request.items if item.pads is not None}
    return pads | {f"fill:{fill.fill}": fill.pads for fill in plan.fills}


def _carried_g(job: Job, members: Sequence[CrewMember]) -> dict[str, int]:
    """What each has carried on the jobs of the day, a shared piece by equal parts."""
    keys = {member.user_id: member_key(member.pk) for member in members}
    carried = dict.fromkeys(keys.values(), 0)
    done = Assignment.objects.filter(
        person__in=keys,
        task__job__day=job.day,
        task__weight_g__gt=0,
        ending=Assignment.Ending.DONE,
    )
    for person, weight_g, people in done.values_list("person", "task__weight_g", "task__people"):
        carried[keys[person]] += weight_g // max(1, people)
    return carried
