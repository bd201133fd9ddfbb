"""What a day's jobs have in common in the warehouse: lanes, and the forklift."""

from collections.abc import Sequence

from jobs.models import Job
from loading.selectors import ForkliftDay, SharedLanes, forklift_day, shared_lanes


def job_lanes_shared(*, job: Job) -> SharedLanes | None:
    """The order in which the accepted jobs of the day pull, if they need a lane in common."""
    return shared_lanes(plans=[one.plan for one in _accepted(job) if one.plan is not None])


def job_forklift_day(*, job: Job) -> ForkliftDay | None:
    """The forklift's day for all accepted jobs of the day, begun at their windows."""
    return forklift_day(
        plans=[(one.plan, one.window_start) for one in _accepted(job) if one.plan is not None]
    )


def _accepted(job: Job) -> Sequence[Job]:
    open_jobs = Job.objects.filter(
        branch=job.branch_id,
        day=job.day,
        plan__isnull=False,
        status__in=(Job.Status.ACCEPTED, Job.Status.RUNNING),
    )
    return list(open_jobs.select_related("plan__load__branch", "plan__load__dock"))
