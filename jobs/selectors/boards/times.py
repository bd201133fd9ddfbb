"""A day's jobs over time: forecast ends against windows, and changes of the crews to decide on."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from inventory.models import User
from inventory.permissions import branches_where
from jobs.models import Job
from jobs.scheduling.rates import WorkRates
from jobs.selectors.access import jobs_visible
from jobs.selectors.forecasts import JobForecast, forecast_of
from jobs.selectors.job_work import JobWork, jobs_work
from jobs.selectors.proposals import DayProposals, day_proposals
from jobs.selectors.rates import branch_rates
from jobs.selectors.schedules import JobSchedule, job_schedule


@dataclass(frozen=True, slots=True)
class TimesLine:
    """A job with its crew's bars; without a forecast before it has tasks and after the last."""

    job: Job
    schedule: JobSchedule
    forecast: JobForecast | None


@dataclass(frozen=True, slots=True)
class TimesBoard:
    """The latest job first; what is proposed at the branches whose crews the person may change."""

    lines: Sequence[TimesLine]
    balances: Sequence[DayProposals]


def times_board(*, user: User, day: date, now: datetime) -> TimesBoard:
    """All jobs of a day that a person may see. Each branch costs a fixed number of queries."""
    jobs = list(jobs_visible(user=user).filter(day=day))
    work = jobs_work(jobs=jobs)
    rates = {branch: branch_rates(branch=branch) for branch in {job.branch for job in jobs}}
    lines = [_line(job, work[job.pk], rates[job.branch], now) for job in jobs]
    branches = branches_where(user=user, action="job.dispatch").filter(jobs__day=day).distinct()
    return TimesBoard(
        lines=sorted(lines, key=_order),
        balances=[day_proposals(branch=branch, day=day) for branch in branches.order_by("code")],
    )


def _line(job: Job, work: JobWork, rates: WorkRates, now: datetime) -> TimesLine:
    schedule = job_schedule(job=job, now=now, work=work)
    return TimesLine(job, schedule, forecast_of(schedule, work, now=now, rates=rates))


def _order(line: TimesLine) -> tuple[int, bool, datetime]:
    forecast = line.forecast
    late_min = forecast.late_min if forecast else 0
    return (-late_min, not (forecast and forecast.may_be_late), line.job.window_end)
