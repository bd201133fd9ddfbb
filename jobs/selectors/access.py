"""What a person may see and do of jobs; all of it asks `user_may`."""

from uuid import UUID

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet

from inventory.models import User
from inventory.permissions import branches_where, user_may
from jobs.errors import NoSuchJob, NotPermitted
from jobs.models import Job

Person = User | AnonymousUser

_SEEING = "job.read"
_LONG = tuple(f"plan__{name}" for name in ("request_document", "document", "figures"))
"""Hundreds of kB that no list needs; a process reads those of a plan once (`plan_of`)."""


def jobs_visible(*, user: Person) -> QuerySet[Job]:
    """The jobs of the branches where a person may read jobs."""
    jobs = Job.objects.filter(branch__in=branches_where(user=user, action=_SEEING))
    related = ("branch", "load__truck", "load__dock", "load__release__shipment", "plan", "state")
    return jobs.select_related(*related).defer(*_LONG)


def job_demanded(*, user: Person, job_id: UUID, action: str = _SEEING) -> Job:
    """A job that a person may read and, beyond that, do `action` on.

    Raises `NoSuchJob` for a job that the person may not even know of, `NotPermitted` else.
    """
    job = jobs_visible(user=user).filter(pk=job_id).first()
    if job is None:
        raise NoSuchJob(job_id)
    if action != _SEEING and not user_may(user=user, branch=job.branch, action=action):
        raise NotPermitted(action, job.branch.code)
    return job
