"""The stored state of a job, as everybody reads it."""

import pytest

from inventory.models import User
from jobs.folding import empty_state
from jobs.models import Job, JobState
from jobs.selectors.events import job_state_fresh
from jobs.selectors.states import job_state, state_of
from jobs.services import events_record
from tests.jobs.reports import report
from tests.jobs.stage import NOW


def test_before_the_first_event_the_state_is_empty(accepted: Job) -> None:
    assert job_state(job=accepted) == empty_state()


@pytest.mark.parametrize("lacks", ["stops", "wanted"])
def test_a_state_that_an_earlier_version_stored_is_folded_anew(
    accepted: Job, dispatcher: User, lacks: str
) -> None:
    told = [report("piece_unpacked", tag="001")]
    events_record(job=accepted, events=told, actor=dispatcher, now=NOW)
    stored = JobState.objects.get(job=accepted)
    del stored.state[lacks]
    stored.save()
    assert job_state(job=accepted) == job_state_fresh(job=accepted)
    assert state_of(Job.objects.get(pk=accepted.pk))[lacks] == {}  # type: ignore[literal-required]
