"""A branch's day as the balance looks at it: its jobs at work, their crews, and what is left."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from inventory.models import Branch
from jobs.models import CrewMember, CrewPin, Job, Task
from jobs.scheduling.assigning import PARTS_FOR
from jobs.scheduling.day import DayJob, DayPerson, DayPlan, DayRequest, Post, takes_by_people
from jobs.scheduling.day.request import LOADER
from jobs.selectors.floors import crew_there
from jobs.selectors.forecasts import job_forecast
from jobs.selectors.ways import dock_place, ways_s
from loading.selectors import load_is_held

MORE_PEOPLE: Final = 3
"""So many more than there are may come to a job; beyond that they stand in each other's way."""
LOST_PCT: Final = 5
WHOLE_DAY_S: Final = 24 * 3600


@dataclass(frozen=True, slots=True)
class DayToBalance:
    """The request, whose keys are those of jobs and users, and who is where now."""

    request: DayRequest
    current: DayPlan


def day_to_balance(*, branch: Branch, day: date, now: datetime) -> DayToBalance:
    """The jobs at work, each at its dock, where its people are.

    A job with nobody on it waits for whoever is done first elsewhere, unless the office holds it.
    """
    jobs = Job.objects.filter(branch=branch, day=day, status__in=Job.AT_WORK)
    jobs = jobs.select_related("branch", "load").order_by("window_end", "id")
    crews = {job: list(crew_there(job=job, now=now)) for job in jobs}
    day_jobs = [one for job, crew in crews.items() if (one := _day_job(job, crew, now)) is not None]
    at_work = {one.key for one in day_jobs}
    teams = {str(job.pk): crew for job, crew in crews.items() if str(job.pk) in at_work}
    at_docks = {job: crew for job, crew in crews.items() if str(job.pk) in teams}
    request = DayRequest(
        jobs=tuple(day_jobs),
        people=tuple(_people(at_docks, now)),
        travel_s=ways_s(branch=branch, docks={job.load.dock_id for job in crews}),
        pins=_pins(day, teams),
    )
    posts = (Post(key, tuple(map(_key, crew)), 0, 0, 0) for key, crew in teams.items())
    return DayToBalance(request, DayPlan(tuple(posts), 0, 0))


def _day_job(job: Job, crew: Sequence[CrewMember], now: datetime) -> DayJob | None:
    """What is left by the forecast, which the people there do in the time that it says; where
    nobody is, all of the work, which one can begin alone."""
    forecast = job_forecast(job=job, now=now)
    if forecast is None or (not crew and load_is_held(load=job.load)):
        return None
    needed = _needed(job, crew)
    minimum, people = max(1, len(needed)), len(crew)
    work_s = forecast.work_s
    if forecast.likely_at is not None:
        left_s = max(1, int((forecast.likely_at - now).total_seconds()))
        work_s = left_s * (people * 100 - max(0, people - minimum) * LOST_PCT) // 100
    return DayJob(
        key=str(job.pk),
        place=dock_place(job.load.dock_id),
        takes_s=takes_by_people(work_s, minimum=minimum, most=people + MORE_PEOPLE),
        window_s=(0, max(0, int((job.window_end - now).total_seconds()))),
        needs_loader=LOADER in needed,
        skills=tuple(part for part in needed if part != LOADER),
    )


def _needed(job: Job, crew: Sequence[CrewMember]) -> list[str]:
    """The parts without which work that is left cannot be done, as far as they are there now."""
    kinds = set(Task.objects.filter(job=job, status__in=Task.OPEN).values_list("kind", flat=True))
    leads = {PARTS_FOR[kind][0] for kind in kinds}
    return sorted({member.part for member in crew} & leads - {CrewMember.Part.HELPER})


def _people(crews: Mapping[Job, Sequence[CrewMember]], now: datetime) -> list[DayPerson]:
    people: dict[str, DayPerson] = {}
    for job, member in ((job, one) for job, crew in crews.items() for one in crew):
        place = dock_place(job.load.dock_id)
        known = people.get(_key(member))
        until_s = WHOLE_DAY_S
        if member.leaves_at is not None:
            until_s = max(0, int((member.leaves_at - now).total_seconds()))
        skills = frozenset({member.part}) | (known.skills if known else frozenset())
        people[_key(member)] = DayPerson(
            _key(member), skills, 0, min(until_s, known.until_s) if known else until_s, place
        )
    return list(people.values())


def _pins(day: date, teams: Mapping[str, Sequence[CrewMember]]) -> dict[str, str]:
    """Who is pinned to a job and is there."""
    pins = CrewPin.objects.filter(day=day, job__in=list(teams))
    return {
        str(pin.person_id): str(pin.job_id)
        for pin in pins
        if any(member.user_id == pin.person_id for member in teams[str(pin.job_id)])
    }


def _key(member: CrewMember) -> str:
    return str(member.user_id)
