"""When the one forklift of a branch is not a job's to use."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from django.db.models import Max

from jobs.models import Assignment, Job, Task
from jobs.scheduling.assigning import BY_FORKLIFT
from jobs.scheduling.rates import WorkRates, duration_s
from jobs.selectors.floors import crew_there, floor_schedule, next_tasks, usual_way_mm
from jobs.selectors.forklift_turns import FORGOTTEN_AFTER
from jobs.selectors.lanes import arrivals_of_day
from jobs.selectors.rates import branch_rates

# When it is to begin and how long it takes, in seconds; what has begun, begins in the past.
Use = tuple[int, int]


def forklift_away(*, job: Job, now: datetime) -> tuple[tuple[int, int], ...]:
    """From when until when others of the branch have it, in seconds from now, one after the other.

    That is what they have in hand, what comes next by the schedule of each job, and vaults from
    outside. What a schedule has after the next tasks of each is not promised and keeps nobody
    waiting: else the job that is scheduled last would have the forklift last.
    """
    others = Job.objects.filter(branch=job.branch_id, day=job.day, status__in=Job.AT_WORK)
    rates = branch_rates(branch=job.branch)
    uses = list(_of_arrivals(job, rates, now))
    for other in others.exclude(pk=job.pk).select_related("branch"):
        uses += _of_job(other, rates, now)
    return _one_after_the_other(uses)


def _of_job(job: Job, rates: WorkRates, now: datetime) -> Iterator[Use]:
    tasks = list(job.tasks.filter(status__in=Task.OPEN))
    by_key = {task.key: task for task in tasks}
    opened = Assignment.objects.filter(
        task__job=job,
        task__kind__in=BY_FORKLIFT,
        task__status__in=Task.OPEN,
        ended_at__isnull=True,
        given_at__gt=now - FORGOTTEN_AFTER,
    )
    begun = dict(opened.values_list("task__key").annotate(Max("given_at")))
    for key, given_at in begun.items():
        yield _seconds(now, given_at), _takes_s(rates, by_key[key].kind)
    stored = floor_schedule(job=job)
    if stored is None:
        return
    members = list(crew_there(job=job, now=now))
    following = next_tasks(schedule=stored.schedule, members=members, open_keys=by_key)
    promised = {key for keys in following.values() for key in keys} - begun.keys()
    for entry in stored.schedule.entries:
        if entry.task in promised and by_key[entry.task].kind in BY_FORKLIFT:
            goes_s = entry.goes_s - stored.second(now)
            yield max(0, goes_s), entry.end_s - entry.goes_s


def _of_arrivals(job: Job, rates: WorkRates, now: datetime) -> Iterator[Use]:
    in_hand = Assignment.objects.filter(
        task__job__branch=job.branch_id, task__kind=Task.Kind.STOW, ended_at__isnull=True
    )
    held = set(in_hand.values_list("task__vault", flat=True))
    expected = arrivals_of_day(branch=job.branch, day=job.day)
    for arrival in (one for one in expected if one.vault.code not in held):
        yield max(0, _seconds(now, arrival.expected_at)), _takes_s(rates, Task.Kind.STOW)


def _takes_s(rates: WorkRates, kind: str) -> int:
    return duration_s(rates, kind=kind, distance_mm=usual_way_mm(kind))


def _seconds(now: datetime, moment: datetime) -> int:
    return int((moment - now).total_seconds())


def _one_after_the_other(uses: Sequence[Use]) -> tuple[tuple[int, int], ...]:
    """What is in hand first; it takes a second more at least, however long it takes already."""
    times: list[tuple[int, int]] = []
    free_s = 0
    for goes_s, takes_s in sorted(uses):
        begins_s = max(goes_s, free_s)
        ends_s = begins_s + takes_s if goes_s >= 0 else goes_s + takes_s
        free_s = max(begins_s + 1, ends_s)
        times.append((begins_s, free_s))
    return tuple(times)
