"""A helper who takes a piece out of its vault reads whether it may ride, and what to do."""

from copy import deepcopy

from django.test import Client

from jobs.models import Job
from jobs.services import events_record, job_accept_plan, tasks_assign
from loading.models import Load
from tests.jobs.reports import report
from tests.jobs.scenario import REQUEST
from tests.jobs.stage import NOW, make_crew, store_plan


def test_the_task_says_what_to_do_with_a_piece_that_may_not_ride(
    client: Client, load: Load, job: Job
) -> None:
    request = deepcopy(REQUEST)
    for item in request["items"]:
        item["name"] = "propane tank"
    job_accept_plan(job=job, plan=store_plan(load, request=request), by=None, now=NOW)
    crew = make_crew(job)
    pulled = [report("vault_moved", vault="X9", lane="L2"), report("vault_pulled", vault="V1")]
    events_record(job=job, events=pulled, actor=crew["wim"].user, now=NOW)
    tasks_assign(job_id=job.id, now=NOW)
    client.force_login(crew["hanne"].user)
    text = client.get("/my-task/").content.decode()
    assert "Unpack" in text
    assert "<strong>gas.</strong> Do not load. Stand it upright outdoors" in text
