"""The stored state of a job: the fold of its events as of the last one."""

from typing import cast

from jobs.folding import State, empty_state
from jobs.folding.state import is_of_this_form
from jobs.models import Job, JobState
from jobs.selectors.events import job_state_fresh


def job_state(*, job: Job) -> State:
    """A job's state, read now; an empty one before the first event."""
    return state_read(job=job, stored=JobState.objects.filter(job=job).first())


def state_of(job: Job) -> State:
    """The same of a job whose row was read with its state."""
    return state_read(job=job, stored=getattr(job, "state", None))


def state_read(*, job: Job, stored: JobState | None) -> State:
    """The state in a job's row; one that an earlier version of this software stored is folded
    anew."""
    if stored is None:
        return empty_state()
    if is_of_this_form(stored.state):
        return cast(State, stored.state)
    return job_state_fresh(job=job)


def is_paused(*, job: Job) -> bool:
    """Whether all work on a job rests. Only that is read of the state, which is long."""
    paused = JobState.objects.filter(job=job).values_list("state__pause__value", flat=True)
    return bool(paused.first())
