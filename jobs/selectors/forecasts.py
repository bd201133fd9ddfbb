"""When a job will probably be done, against its window, and what that rests on."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from uuid import UUID

from jobs.models import FloorPlan, Job, JobState
from jobs.scheduling.rates import Forecast, WorkLeft, WorkRates, duration_s, forecast_end
from jobs.selectors.floors import DEFAULT_PADS, usual_way_mm
from jobs.selectors.job_work import JobWork, job_work, jobs_work
from jobs.selectors.rates import branch_rates
from jobs.selectors.schedules import JobSchedule, job_schedule
from loading.selectors.kept import Kept

ON_SCHEDULE, ON_WORK, ON_NOTHING = "schedule", "work", "nothing"


@dataclass(frozen=True, slots=True)
class JobForecast:
    """When a job ends: likely, and from when until when in four days out of five.

    `late_min` is by how many minutes the likely end is after the window, 0 within it;
    `may_be_late`: the late end is. `rests_on` is "schedule" (the crew's own), "work" (no schedule
    yet: the work left, spread over the people there) or "nothing" (nobody is there; then the ends
    are None). `tasks_left` counts what is still to be done. `observations` is how many tasks of
    the branch's own days stand behind the rate that is known least, 0: it is our guess. `work_s`
    are the person-seconds that is, whoever does it.
    """

    job: Job
    likely_at: datetime | None
    early_at: datetime | None
    late_at: datetime | None
    window_end: datetime
    late_min: int
    may_be_late: bool
    rests_on: str
    tasks_left: int
    people: int
    observations: int
    work_s: int

    @property
    def is_late(self) -> bool:
        return self.late_min > 0


def job_forecast(*, job: Job, now: datetime) -> JobForecast | None:
    """The forecast of a job with work left; None before it has tasks and after the last is done."""
    work = job_work(job=job)
    if not work.tasks:
        return None
    drawn = job_schedule(job=job, now=now, work=work)
    return forecast_of(drawn, work, now=now, rates=branch_rates(branch=job.branch))


def forecasts_of(*, jobs: Sequence[Job], now: datetime) -> Mapping[UUID, JobForecast]:
    """The forecasts of the jobs with work left, by the job's key. They come with their `crew`.

    Worked out once a minute, and when something is reported, a schedule is made or the crew
    changes: live pages ask again and again.
    """
    made = dict(FloorPlan.objects.filter(job__in=jobs).values_list("job", "made_at"))

    def known(job: Job) -> tuple[object, ...]:
        state: JobState | None = getattr(job, "state", None)
        crew = tuple((one.pk, one.active) for one in job.crew.all())
        told = state.sequence if state else 0
        return job.pk, job.window_start, job.window_end, told, made.get(job.pk), crew

    key = now.replace(second=0, microsecond=0), tuple(map(known, jobs))
    return _forecasts.of(key, lambda: _made(jobs, now))


_forecasts: "Kept[dict[UUID, JobForecast]]" = Kept()


def _made(jobs: Sequence[Job], now: datetime) -> dict[UUID, JobForecast]:
    """Each branch costs a fixed number of queries."""
    work = jobs_work(jobs=jobs)
    rates = {branch: branch_rates(branch=branch) for branch in {job.branch for job in jobs}}
    found = (
        forecast_of(
            job_schedule(job=job, now=now, work=work[job.pk]),
            work[job.pk],
            now=now,
            rates=rates[job.branch],
        )
        for job in jobs
    )
    return {one.job.pk: one for one in found if one is not None}


def forecast_of(
    drawn: JobSchedule, work: JobWork, *, now: datetime, rates: WorkRates
) -> JobForecast | None:
    """The same for a job whose schedule for this moment and whose work are at hand."""
    if not work.tasks:
        return None
    job, people = drawn.job, work.there(now)
    open_tasks = Counter((one.kind, one.people, one.weight_g) for one in work.tasks.values())
    left = [one for task, count in open_tasks.items() for one in [_left(*task, rates)] * count]
    work_s = sum(one.takes_s * one.people for one in left)
    unknown = _unknown(job, left, work_s)
    if drawn.made_at is not None and not drawn.left_over:
        rests_on, likely_at = ON_SCHEDULE, drawn.starts_at + timedelta(seconds=drawn.end_s)
    elif people:
        rests_on, likely_at = ON_WORK, now + timedelta(seconds=-(-work_s // people))
    else:
        return unknown
    end_s = int((likely_at - now).total_seconds())
    ends = forecast_end(rates, left, end_s=end_s)
    return _told(replace(unknown, rests_on=rests_on, people=people), now, ends)


def _left(kind: str, people: int, weight_g: int, rates: WorkRates) -> WorkLeft:
    takes_s = duration_s(
        rates,
        kind=kind,
        people=people,
        weight_g=weight_g,
        distance_mm=usual_way_mm(kind),
        pads=DEFAULT_PADS,
    )
    return WorkLeft(kind, people, takes_s)


def _unknown(job: Job, left: Sequence[WorkLeft], work_s: int) -> JobForecast:
    """The forecast of a job on which nobody is."""
    return JobForecast(
        job=job,
        likely_at=None,
        early_at=None,
        late_at=None,
        window_end=job.window_end,
        late_min=0,
        may_be_late=True,
        rests_on=ON_NOTHING,
        tasks_left=len(left),
        people=0,
        observations=0,
        work_s=work_s,
    )


def _told(unknown: JobForecast, now: datetime, forecast: Forecast) -> JobForecast:
    likely_at, early_at, late_at = (
        now + timedelta(seconds=seconds)
        for seconds in (forecast.likely_s, forecast.early_s, forecast.late_s)
    )
    over_s = int((likely_at - unknown.window_end).total_seconds())
    return replace(
        unknown,
        likely_at=likely_at,
        early_at=early_at,
        late_at=late_at,
        late_min=max(0, -(-over_s // 60)),
        may_be_late=late_at > unknown.window_end,
        observations=forecast.observations,
    )
