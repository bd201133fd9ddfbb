"""Who is on a job."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from inventory.models import Role, User
from jobs.errors import JobClosed, NotOfBranch
from jobs.models import CrewMember, Job
from jobs.services.live import change_publish
from jobs.services.schedule_asking import schedule_ask
from jobs.services.sending import assigning_send


@transaction.atomic
def crew_member_put(
    *,
    job: Job,
    user: User,
    part: str,
    comes_at: datetime | None = None,
    leaves_at: datetime | None = None,
    now: datetime | None = None,
) -> CrewMember:
    """Put a person on a job as loader, warehouse or helper, or change as what.

    `now` is the time of the wish for a new schedule, by the clock if it is left out. Raises
    `NotOfBranch` for a person without a role at the job's branch, and `JobClosed`.
    """
    if job.status == Job.Status.CLOSED:
        raise JobClosed(job.id)
    if not Role.objects.filter(user=user, branch_id=job.branch_id).exists():
        raise NotOfBranch(user.get_username(), job.branch.code)
    member, _ = CrewMember.objects.update_or_create(
        job=job,
        user=user,
        defaults={"part": part, "comes_at": comes_at, "leaves_at": leaves_at},
    )
    schedule_ask(job=job, now=now or timezone.now())
    assigning_send(job.id)
    change_publish(job.id, job.branch_id)
    return member
