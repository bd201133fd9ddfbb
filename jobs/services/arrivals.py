"""Work with vaults that come from outside: whose hands it is in, and when nobody is to do it."""

from django.db.models import Exists, OuterRef, QuerySet

from inventory.models import Branch, VaultArrival
from jobs.models import Assignment, Job, Task
from jobs.selectors.forklift_turns import ArrivalNext
from jobs.services.live import change_publish
from jobs.services.sending import assigning_send


def stow_task(*, job: Job, found: ArrivalNext) -> Task | None:
    """The work of putting a vault away, not stored before somebody has it; None on a job on which
    it was put away once already."""
    vault = found.arrival.vault.code
    key = f"{Task.Kind.STOW}:{vault}"
    task = job.tasks.filter(key=key).first() or Task(job=job, key=key, kind=Task.Kind.STOW)
    if task.status == Task.Status.DONE or job.tasks_plan is None:
        return None
    task.plan, task.sequence, task.status = job.tasks_plan, 0, Task.Status.READY
    task.vault, task.lane = vault, found.lane
    return task


def stows_settle(*, job: Job) -> list[Task]:
    """Withdraw the work with vaults that nobody has in hand or expects any more.

    What nobody has goes to whoever of the branch can do it. Call with the job's row locked.
    Gives those whose people are to let go of it.
    """
    stale = list(stale_stows().filter(job=job))
    if stale:
        ids = [task.pk for task in stale]
        Task.objects.filter(pk__in=ids).update(status=Task.Status.WITHDRAWN)
        change_publish(job.id, job.branch_id)
    return stale


def stows_settle_send(*, branch: Branch) -> None:
    """Tell the jobs on which somebody is to put a vault away that is not expected any more."""
    for job_id in stale_stows().filter(job__branch=branch).values_list("job_id", flat=True):
        assigning_send(job_id)


def stale_stows() -> QuerySet[Task]:
    held = Assignment.objects.filter(task=OuterRef("pk"), ended_at__isnull=True)
    expected = VaultArrival.objects.filter(
        vault__branch=OuterRef("job__branch"), vault__code=OuterRef("vault"), stowed_at=None
    )
    opened = Task.objects.filter(kind=Task.Kind.STOW, status__in=Task.OPEN)
    return opened.exclude(Exists(held), Exists(expected))
