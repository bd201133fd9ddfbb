"""A branch's day before its crews are made: jobs, everybody who is there, and what was proposed."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final, TypedDict

from inventory.models import Branch, Role, User
from jobs.models import CrewMember, CrewPin, DayCrews, Job, Shift, Task
from jobs.scheduling.assigning import BY_FORKLIFT, PARTS_FOR
from jobs.scheduling.day import DayJob, DayPerson, DayRequest, takes_by_people
from jobs.scheduling.day.request import LOADER
from jobs.scheduling.floor.request import FORKLIFT
from jobs.selectors.balances import WHOLE_DAY_S
from jobs.selectors.forecasts import job_forecast
from jobs.selectors.shifts import skills_of
from jobs.selectors.ways import HOME, dock_place, ways_s
from loading.selectors import load_is_held

MOST_PEOPLE: Final = 8
"""More stand in each other's way on one dock (common practice, no source)."""
_PARTS: Final = (CrewMember.Part.LOADER, CrewMember.Part.WAREHOUSE, CrewMember.Part.HELPER)


class CrewPersonRow(TypedDict):
    """Somebody of a proposed crew: as what, and the word for why (`CREW_REASONS`)."""

    person: int
    part: str
    why: str


class CrewRow(TypedDict):
    """A proposed crew as it is stored; `one_less_min`: by how much later fewer would end, None
    where no fewer can do it."""

    job: str
    people: list[CrewPersonRow]
    starts_at: str
    ends_at: str
    spare_min: int
    one_less_min: int | None


@dataclass(frozen=True, slots=True)
class CrewPerson:
    """Somebody who is proposed for a job; `is_on`: already on its crew."""

    person: User
    part: str
    why: str
    is_on: bool


@dataclass(frozen=True, slots=True)
class ProposedCrew:
    """Who is proposed for a job, from when until when, and how much of its window is left over."""

    job: Job
    people: tuple[CrewPerson, ...]
    starts_at: datetime
    ends_at: datetime
    spare_min: int
    one_less_min: int | None

    @property
    def late_min(self) -> int:
        return max(0, -self.spare_min)

    @property
    def is_on(self) -> bool:
        return all(one.is_on for one in self.people)


@dataclass(frozen=True, slots=True)
class ProposedDay:
    """The last proposal, None where there was none; `is_wanted`: a newer one is being made."""

    branch: Branch
    day: date
    made_at: datetime | None
    is_wanted: bool
    crews: tuple[ProposedCrew, ...]
    unmanned: tuple[Job, ...]


def day_to_man(*, branch: Branch, day: date, now: datetime) -> DayRequest:
    """All jobs of a day with work left and all people who are there, in seconds from now.

    Who is on a job, or pinned to one, stays there. Everybody begins at the branch; from one dock to
    another the way leads by the branch. A job that the office holds is left out.
    """
    jobs = Job.objects.filter(branch=branch, day=day, status__in=Job.AT_WORK)
    jobs_there = [job for job in jobs.select_related("branch", "load") if not _held(job)]
    crews = CrewMember.objects.filter(job__in=jobs_there, active=True)
    on = dict(crews.order_by("-id").values_list("user_id", "job_id"))
    pinned = CrewPin.objects.filter(day=day, job__in=jobs_there)
    stays = on | dict(pinned.values_list("person_id", "job_id"))
    people = _people(branch, day, now, on)
    skills = {skill for person in people for skill in person.skills}
    day_jobs = [one for job in jobs_there if (one := _day_job(job, skills, len(people), now))]
    keys = {one.key for one in day_jobs}
    return DayRequest(
        jobs=tuple(day_jobs),
        people=tuple(people),
        travel_s=ways_s(branch=branch, docks={job.load.dock_id for job in jobs_there}),
        pins={
            person.key: str(stays[int(person.key)])
            for person in people
            if str(stays.get(int(person.key))) in keys
        },
    )


def proposed_day(*, branch: Branch, day: date) -> ProposedDay:
    """What was proposed last, without people and jobs that are no longer there."""
    row = DayCrews.objects.filter(branch=branch, day=day).first()
    if row is None:
        return ProposedDay(branch, day, None, False, (), ())
    found = Job.objects.filter(branch=branch, day=day, status__in=Job.AT_WORK)
    jobs = {str(job.pk): job for job in found.select_related("branch", "load")}
    on = set(CrewMember.objects.filter(job__in=found, active=True).values_list("user_id", "job_id"))
    posts: list[CrewRow] = row.posts
    ids = {one["person"] for post in posts for one in post["people"]}
    users = User.objects.in_bulk(ids)
    return ProposedDay(
        branch=branch,
        day=day,
        made_at=row.made_at,
        is_wanted=row.wanted > row.made,
        crews=tuple(
            _read(post, jobs[post["job"]], users, on) for post in posts if post["job"] in jobs
        ),
        unmanned=tuple(jobs[key] for key in row.unmanned if key in jobs),
    )


def _held(job: Job) -> bool:
    return load_is_held(load=job.load)


def _people(branch: Branch, day: date, now: datetime, on: Collection[int]) -> list[DayPerson]:
    """Who has a shift that has not ended or is on a job already, as long as a role makes them fit
    for some part."""
    shifts = Shift.objects.filter(branch=branch, day=day, ends_at__gt=now)
    hours_s = dict.fromkeys(on, (0, WHOLE_DAY_S)) | {
        shift.person_id: (
            max(0, int((shift.starts_at - now).total_seconds())),
            int((shift.ends_at - now).total_seconds()),
        )
        for shift in shifts
    }
    roles = Role.objects.filter(branch=branch, kind__in=_PARTS, user__in=hours_s)
    parts: dict[int, set[str]] = {}
    for person, kind in roles.order_by("user").values_list("user", "kind"):
        parts.setdefault(person, set()).add(kind)
    certified = skills_of(branch=branch, people=list(parts))
    return [
        DayPerson(
            key=str(person),
            skills=frozenset(kinds) | certified.get(person, frozenset()),
            from_s=hours_s[person][0],
            until_s=hours_s[person][1],
            place=HOME,
        )
        for person, kinds in parts.items()
    ]


def _day_job(job: Job, skills: Collection[str], people: int, now: datetime) -> DayJob | None:
    """A job by the work that is left of it; None where none is, or it has no tasks yet."""
    forecast = job_forecast(job=job, now=now)
    if forecast is None:
        return None
    open_tasks = Task.objects.filter(job=job, status__in=Task.OPEN)
    kinds = set(open_tasks.values_list("kind", flat=True))
    hands = max(open_tasks.values_list("people", flat=True))
    needed = _needed(kinds, skills)
    minimum = max(1, hands, len(needed))
    return DayJob(
        key=str(job.pk),
        place=dock_place(job.load.dock_id),
        takes_s=takes_by_people(
            forecast.work_s, minimum=minimum, most=max(minimum, min(MOST_PEOPLE, people))
        ),
        window_s=(
            max(0, int((job.window_start - now).total_seconds())),
            max(0, int((job.window_end - now).total_seconds())),
        ),
        needs_loader=LOADER in needed,
        skills=tuple(one for one in needed if one != LOADER),
    )


def _needed(kinds: Iterable[str], skills: Collection[str]) -> list[str]:
    """The parts that lead the work, one of each; the forklift's driver where any is certified."""
    needed = set()
    for kind in kinds:
        drives = kind in BY_FORKLIFT and FORKLIFT in skills
        needed.add(FORKLIFT if drives else PARTS_FOR[kind][0])
    if FORKLIFT in needed:
        needed.discard(CrewMember.Part.WAREHOUSE)
    return sorted(needed - {CrewMember.Part.HELPER})


def _read(
    row: CrewRow,
    job: Job,
    users: Mapping[int, User],
    on: Collection[tuple[int, object]],
) -> ProposedCrew:
    people = [
        CrewPerson(users[one["person"]], one["part"], one["why"], (one["person"], job.pk) in on)
        for one in row["people"]
        if one["person"] in users
    ]
    return ProposedCrew(
        job=job,
        people=tuple(people),
        starts_at=datetime.fromisoformat(row["starts_at"]),
        ends_at=datetime.fromisoformat(row["ends_at"]),
        spare_min=row["spare_min"],
        one_less_min=row["one_less_min"],
    )
