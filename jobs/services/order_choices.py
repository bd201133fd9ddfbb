"""Choosing in which order a job's vaults are pulled, or leaving it to the planner again."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction

from inventory.models import User
from jobs.errors import JobClosed, OrderBlocked, OrderOvertaken, OrderUuidReused
from jobs.models import Job, OrderChoice
from jobs.replanning import order_overtaken, whole_order
from jobs.selectors.states import job_state
from jobs.services.jobs import job_document, job_plan
from jobs.services.live import change_publish
from loading.planner.pulls import YardBlocked, retrieve, yard_of
from loading.planner.request import LoadRequest
from loading.selectors import load_request_document
from loading.sentences import planner_said
from loading.services import load_pull_order_set
from loading.services.contract import request_parsed

SEED = 1


@transaction.atomic
def job_order_choose(
    *,
    job: Job,
    codes: Sequence[str] | None,
    choice_id: UUID,
    budget_s: float,
    by: User | None,
    now: datetime,
    send: bool = True,
) -> OrderChoice:
    """Pull a job's vaults in this order from now on, and ask for a plan that does; None leaves the
    order to the planner again.

    Every later plan of the load keeps to it, a plan of the rest too. Vaults that it does not name
    come last. The same UUID twice is one choice, its run has that UUID too. Raises `JobClosed`,
    `OrderOvertaken` where what was pulled by now contradicts it, `OrderBlocked` where the lanes do,
    `DocumentInvalid` for vaults that the load does not have, and `OrderUuidReused`.
    """
    job = Job.objects.select_for_update(no_key=True, of=("self",)).get(pk=job.pk)
    former = OrderChoice.objects.filter(pk=choice_id).first()
    if former is not None:
        return _same_or_refused(former, job, codes)
    if job.status == Job.Status.CLOSED:
        raise JobClosed(job.id)
    order = None if codes is None else _demanded(job, _request_with(job, codes), codes)
    load_pull_order_set(load=job.load, order=order)
    run = job_plan(
        job=job, seed=SEED, budget_s=budget_s, requested_by=by, run_id=choice_id, send=send
    )
    choice = OrderChoice.objects.create(
        id=choice_id,
        job=job,
        codes=None if codes is None else list(codes),
        run=run,
        chosen_at=now,
        chosen_by=by,
    )
    change_publish(job.id, job.branch_id)
    return choice


def _same_or_refused(former: OrderChoice, job: Job, codes: Sequence[str] | None) -> OrderChoice:
    if (former.job_id, former.codes) != (job.pk, None if codes is None else list(codes)):
        raise OrderUuidReused(former.pk)
    return former


def _request_with(job: Job, codes: Sequence[str]) -> LoadRequest:
    """What is to be planned, as it would be with that order; `DocumentInvalid` says what is wrong
    with the order itself."""
    document = job_document(job=job) or load_request_document(load=job.load)
    free = request_parsed({**document, "pull_order": None})
    return request_parsed({**document, "pull_order": list(whole_order(free, codes))})


def _demanded(job: Job, request: LoadRequest, codes: Sequence[str]) -> tuple[str, ...]:
    """The whole order, if it still can be kept."""
    overtaken = order_overtaken(request, codes)
    if overtaken is not None:
        out = {subject for do, subject, *_ in job_state(job=job)["steps"] if do == "pull"}
        raise OrderOvertaken(
            overtaken.first,
            tuple(code for code in overtaken.pulled if code in out),
            tuple(code for code in overtaken.pulled if code not in out),
        )
    yard = yard_of(request).after(request.progress.steps if request.progress else ())
    standing = set(yard.standing())
    try:
        retrieve(yard, [code for code in codes if code in standing])
    except YardBlocked as error:
        raise OrderBlocked(error.code, planner_said(str(error))) from error
    assert request.pull_order is not None  # it was read with one
    return request.pull_order
