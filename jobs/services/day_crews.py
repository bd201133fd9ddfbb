"""The crews of a day: proposed for all jobs and all people at once, accepted by the dispatcher."""

from collections.abc import Callable, Collection, Sequence
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Exists, OuterRef

from inventory.models import Branch, User
from jobs.errors import JobClosed, NoCrewProposed
from jobs.models import CrewMember, CrewPin, DayCrews, Job, Shift
from jobs.scheduling.day import DayJob, DayPerson, DayPlan, DayRequest, Post
from jobs.scheduling.day.request import LOADER
from jobs.scheduling.floor.request import FORKLIFT
from jobs.selectors.day_crews import CrewPersonRow, CrewRow, day_to_man, proposed_day
from jobs.services.crew import crew_member_put
from jobs.services.making import claim, finish, keep, waiting, wish_add
from jobs.services.schedule_asking import balance_ask
from jobs.services.sending import day_crews_send, day_crews_send_now

SEED: Final = 1
BUDGET_S: Final = 2.0
DAY_BEGINS_H: Final = 5
"""From this hour on, by the branch's clock, crews are proposed without being asked for."""

Balance = Callable[[DayRequest], DayPlan]


def day_crews_ask(*, branch: Branch, day: date, now: datetime) -> None:
    """Ask for a proposal for a day; wishes that come before a worker takes one up are one."""
    that_day = DayCrews.objects.filter(branch=branch, day=day)
    if not wish_add(that_day, now=now):
        DayCrews.objects.bulk_create([DayCrews(branch=branch, day=day)], ignore_conflicts=True)
        wish_add(that_day, now=now)
    day_crews_send(branch.pk, day)


def day_crews_make(
    *, branch_id: int, day: date, worker: str, now: datetime, balance: Balance | None = None
) -> Sequence[CrewRow] | None:
    """Propose a crew for each job of a day; None when nothing is wanted of this worker.

    Safe to start twice and to kill, as `schedule_make` is.
    """
    that_day = DayCrews.objects.filter(branch=branch_id, day=day)
    row = claim(that_day, worker=worker, now=now)
    if row is None:
        return None
    request = day_to_man(branch=row.branch, day=day, now=now)
    posts: list[CrewRow] = []
    unmanned: Sequence[str] = [job.key for job in request.jobs]
    if request.jobs and request.people:
        plan = (balance or _balance)(request)
        posts = [_row(request, post, now) for post in plan.posts]
        unmanned = plan.unmanned
    keep(that_day, row, posts=posts, unmanned=list(unmanned), made_at=now)
    if finish(that_day, row):
        day_crews_send_now(branch_id, day)
    return posts


def days_begin(*, now: datetime) -> list[tuple[int, date]]:
    """Ask for the crews of each branch whose day has begun with jobs on which nobody is.

    Once a day; later ones are asked for by hand.
    """
    manned = CrewMember.objects.filter(job=OuterRef("pk"), active=True)
    begun = []
    for branch in Branch.objects.filter(jobs__status__in=Job.AT_WORK).distinct():
        here = now.astimezone(ZoneInfo(branch.time_zone))
        jobs = Job.objects.filter(
            ~Exists(manned), branch=branch, day=here.date(), status__in=Job.AT_WORK
        )
        proposed = DayCrews.objects.filter(branch=branch, day=here.date())
        shifts = Shift.objects.filter(branch=branch, day=here.date())
        waiting_for_people = here.hour >= DAY_BEGINS_H and not proposed.exists()
        if waiting_for_people and jobs.exists() and shifts.exists():
            day_crews_ask(branch=branch, day=here.date(), now=now)
            begun.append((branch.pk, here.date()))
    return begun


def day_crews_resend(*, now: datetime) -> list[tuple[int, date]]:
    """Send again what waits though its message must be lost, or whose worker is gone."""
    due = waiting(DayCrews.objects.all(), now=now).order_by("asked_at")
    days = list(due.values_list("branch_id", "day"))
    for branch_id, day in days:
        day_crews_send_now(branch_id, day)
    return days


@transaction.atomic
def crew_accept(
    *,
    job: Job,
    people: Collection[User] | None = None,
    pin: bool = False,
    by: User,
    now: datetime,
) -> list[CrewMember]:
    """Put the crew that was proposed for a job on it, or some of its people; and pin them to it.

    Who begins later comes then, and each leaves when the shift ends. Doing it twice changes
    nothing. Raises `NoCrewProposed` where nobody (of these) was proposed for it, and `JobClosed`.
    """
    if job.status == Job.Status.CLOSED:
        raise JobClosed(job.id)
    proposed = proposed_day(branch=job.branch, day=job.day)
    crew = next((one for one in proposed.crews if one.job.pk == job.pk), None)
    wanted = [
        one for one in (crew.people if crew else ()) if people is None or one.person in people
    ]
    if crew is None or not wanted or (people is not None and len(wanted) < len(people)):
        raise NoCrewProposed(job.load.reference)
    shifts = Shift.objects.filter(branch=job.branch, day=job.day)
    leave = dict(shifts.values_list("person", "ends_at"))
    put = []
    for one in wanted:
        if not one.is_on:
            crew_member_put(
                job=job,
                user=one.person,
                part=one.part,
                comes_at=crew.starts_at if crew.starts_at > now else None,
                leaves_at=leave.get(one.person.pk),
                now=now,
            )
        if pin:
            pinned = {"job": job, "pinned_by": by, "pinned_at": now}
            CrewPin.objects.update_or_create(day=job.day, person=one.person, defaults=pinned)
        put.append(one.person)
    balance_ask(branch_id=job.branch_id, day=job.day, now=now)
    return list(job.crew.filter(user__in=put).select_related("user").order_by("id"))


def _balance(request: DayRequest) -> DayPlan:
    """The search, which brings compiled code and is loaded where it is used first."""
    from time import monotonic

    from jobs.scheduling.day.solving import balance
    from loading.planner.stopping import Seconds

    return balance(request, seed=SEED, stop=Seconds(BUDGET_S, monotonic))


def _row(request: DayRequest, post: Post, now: datetime) -> CrewRow:
    job = next(job for job in request.jobs if job.key == post.job)
    team = [person for person in request.people if person.key in post.people]
    fewer_s = job.takes_s.get(len(team) - 1)
    return CrewRow(
        job=post.job,
        people=_parts(job, team),
        starts_at=(now + timedelta(seconds=post.goes_s)).isoformat(),
        ends_at=(now + timedelta(seconds=post.end_s)).isoformat(),
        spare_min=(job.window_s[1] - post.end_s) // 60,
        one_less_min=None if fewer_s is None else (fewer_s - job.takes_s[len(team)]) // 60,
    )


def _parts(job: DayJob, team: Sequence[DayPerson]) -> list[CrewPersonRow]:
    """As what each of a crew is on a job, who leads its work first, and why."""
    rows: list[CrewPersonRow] = []
    left = list(team)
    for skill in [*([LOADER] if job.needs_loader else []), *job.skills]:
        able = [person for person in left if skill in person.skills]
        if able:
            lead = min(able, key=lambda person: len(person.skills))
            left.remove(lead)
            part = _part(lead, CrewMember.Part.WAREHOUSE if skill == FORKLIFT else skill)
            rows.append(CrewPersonRow(person=int(lead.key), part=part, why=skill))
    for person in left:
        why = "hands" if len(rows) < min(job.takes_s) else "sooner"
        part = _part(person, CrewMember.Part.HELPER)
        rows.append(CrewPersonRow(person=int(person.key), part=part, why=why))
    return rows


def _part(person: DayPerson, best: str) -> str:
    """The part that is wanted of somebody, or another that the person has."""
    parts = [part for part in CrewMember.Part.values if part in person.skills]
    return best if best in parts else parts[0]
