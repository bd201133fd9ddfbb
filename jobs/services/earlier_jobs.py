"""What a day's earlier jobs do in the lanes, which the plan of a later one counts on."""

from collections.abc import Sequence
from typing import Any

from jobs.models import Job
from jobs.selectors.lanes import jobs_accepted, plans_of, work_done
from loading.planner.plan import Step
from loading.planner.pulls import lanes_left_by
from loading.planner.request import LoadRequest, request_document
from loading.selectors import load_request_document, steps_in_lanes
from loading.services.contract import request_parsed


def document_after_others(*, job: Job) -> dict[str, Any] | None:
    """The load request of a job that is not begun, in the lanes as the day's other jobs leave
    them; None where none goes before it.

    Those go before whose plans are accepted and whose windows begin no later, if they still shift
    vaults or take some out of the lanes that this job needs.
    """
    jobs = [
        one
        for one in jobs_accepted(branch=job.branch, day=job.day)
        if one.pk != job.pk and one.window_start <= job.window_start
    ]
    if not jobs:
        return None
    document, done = load_request_document(load=job.load), work_done(jobs)
    request = request_parsed(document)
    plans = [
        plan
        for plan in plans_of(sorted(jobs, key=lambda one: (one.window_start, one.load.reference)))
        if _concerns(request, steps_in_lanes(plans=[plan], done=done))
    ]
    if not plans:
        return None
    steps = steps_in_lanes(plans=plans, done=done)
    left = request_document(lanes_left_by(request, steps))
    return {
        **document,
        "vaults": left["vaults"],
        "other_vaults": left["other_vaults"],
        "after_loads": [plan.load.reference for plan in plans],
    }


def _concerns(request: LoadRequest, steps: Sequence[Step]) -> bool:
    """Whether steps shift vaults, or pull one from a lane in which the load's own vaults stand.

    None concerns a load that has no vaults.
    """
    lanes = {vault.lane for vault in request.vaults}
    if not lanes:
        return False
    stand = {vault.code: vault.lane for vault in request.other_vaults}
    return any(step.do != "pull" or stand.get(step.vault or "") in lanes for step in steps)
