"""What comes of a new plan: it is published at once, or the former stays because it is better."""

from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction
from django.utils.translation import gettext as _

from inventory.models import User
from jobs.errors import JobClosed, PlanHoldsNoLonger, PlanOfAnotherLoad
from jobs.folding import EventKind
from jobs.models import Job, JobState, Replan
from jobs.replanning import carried_over, request_now, verdict
from jobs.selectors.states import job_state
from jobs.services.acceptance import job_accept_plan
from jobs.services.events import events_record
from jobs.services.live import change_publish
from jobs.services.replan_asking import replan_ask, second_look_ask
from jobs.services.sending import assigning_send
from jobs.services.streams import streams_lock
from loading.models import LoadPlan
from loading.planner.checker import check_plan
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.plan import parse_plan
from loading.planner.request import LoadRequest, parse_request
from loading.selectors import plan_of
from loading.selectors.comparison import plan_change


def replan_publish(*, replan: Replan, plan: LoadPlan | None, now: datetime) -> None:
    """Settle a replan whose search has ended, with the plan that it found or without one."""
    assert replan.run is not None and replan.former is not None  # noqa: PT018 - claimed
    former = parse_plan(replan.former.document)
    request = parse_request(replan.run.request_document)
    state = job_state(job=replan.job)
    planned = parse_plan(plan.document) if plan else None
    remains = carried_over(request, former, state)
    chosen = verdict(request, remains, plan.figures if plan else None)
    with transaction.atomic():
        job = _locked(replan.job_id)
        still_ours = Replan.objects.filter(
            pk=replan.pk, status=Replan.Status.PLANNING, attempt=replan.attempt
        )
        if job.status == Job.Status.CLOSED or not still_ours.select_for_update().exists():
            return
        if not chosen.takes_new or plan is None or planned is None:
            kept = Replan.Status.KEPT if chosen.former_holds else Replan.Status.FAILED
            replan_end(replan, kept, now)
        elif job.tasks_plan_id != replan.former_id or _is_overtaken(job, planned):
            replan_end(replan, Replan.Status.OVERTAKEN, now)
            if not replan.second_look:
                replan_ask(job=job, causes=replan.causes, now=now)
        else:
            _publish(job, replan, plan, now)
        if chosen.is_hasty and not replan.second_look:
            second_look_ask(replan=replan, now=now)
        assigning_send(job.id)
        change_publish(job.id, job.branch_id)


def replan_end(
    replan: Replan, status: Replan.Status, now: datetime, told: dict[str, Any] | None = None
) -> Replan:
    replan.status, replan.finished_at, replan.lease_until = status, now, None
    replan.told = told or {}
    replan.save(update_fields=["status", "finished_at", "lease_until", "told"])
    return replan


@transaction.atomic
def job_plan_take(*, job: Job, plan: LoadPlan, by: User | None, now: datetime) -> Job:
    """Take on a version of the plan. Once something has been done, only one that holds is taken.

    Raises what `job_plan_return` does.
    """
    if JobState.objects.filter(job=job, sequence__gt=0).exists():
        job = _locked(job.pk)
        if job.tasks_plan is not None:
            return job_plan_return(job=job, plan=plan, by=by, now=now)
    return job_accept_plan(job=job, plan=plan, by=by, now=now)


@transaction.atomic
def job_plan_return(*, job: Job, plan: LoadPlan, by: User | None, now: datetime) -> Job:
    """Go back to a former version of the plan, or on to another one, while it holds.

    Raises `PlanHoldsNoLonger` when what has been done since contradicts it, `JobClosed` and
    `PlanOfAnotherLoad`. Going back to the version that stands changes nothing.
    """
    if plan.load_id != job.load_id:
        raise PlanOfAnotherLoad(job.load.reference, plan.version)
    job = _locked(job.pk)
    if job.status == Job.Status.CLOSED:
        raise JobClosed(job.id)
    if job.tasks_plan is None or job.tasks_plan_id == plan.pk:
        return job
    _demand_holds(job, plan)
    _announce(job, plan, uuid5(job.id, f"{plan.version} {now.isoformat()}"), now, by)
    return job_accept_plan(job=job, plan=plan, by=by, now=now)


def _locked(job_id: UUID) -> Job:
    """The job, with its stream and its row locked in that order."""
    job = Job.objects.select_related("branch").get(pk=job_id)
    streams_lock(job=job, kinds=())
    return Job.objects.select_for_update(no_key=True, of=("self",)).get(pk=job_id)


def _publish(job: Job, replan: Replan, plan: LoadPlan, now: datetime) -> None:
    assert replan.former is not None  # claimed
    _announce(job, plan, replan.id, now, None)
    job_accept_plan(job=job, plan=plan, by=None, now=now)
    change = plan_change(former=replan.former, plan=plan)
    left_off = {left["tag"] for left in plan.document["left_off"]}
    told = {
        "version": plan.version,
        "moved": len(change.other_place) + len(change.other_tier),
        # What is missing or gone is the reason, not what the plan does.
        "left_off": [tag for tag in change.now_left_off if tag in left_off],
        "loaded": list(change.now_loaded),
    }
    replan_end(replan, Replan.Status.PUBLISHED, now, told)


def _announce(job: Job, plan: LoadPlan, uuid: UUID, now: datetime, by: User | None) -> None:
    """Put into the job's own record which version people work by from now on."""
    state = job_state(job=job)
    answered = [tag for tag, piece in state["pieces"].items() if piece["does_not_fit"]]
    waiting = Replan.objects.filter(job=job, status=Replan.Status.ASKED).first()
    later = {cause.rpartition(" ")[2] for cause in waiting.causes} if waiting else set()
    event = {
        "uuid": str(uuid),
        "kind": EventKind.PLAN_PUBLISHED,
        "happened_at": now,
        "payload": {
            "version": plan.version,
            "tags": [tag for tag in answered if tag not in later],
        },
    }
    events_record(job=job, events=[event], actor=by, ours=True, now=now)


def _is_overtaken(job: Job, planned: PlannedLoad) -> bool:
    """Whether something was loaded meanwhile otherwise than the new plan has it."""
    assert job.tasks_plan is not None  # it is the replan's former plan
    return not _keeps_what_is_done(job, job.tasks_plan, planned)


def _keeps_what_is_done(job: Job, standing: LoadPlan, planned: PlannedLoad) -> bool:
    progress = _request_now(job, standing).progress
    if progress is None:
        return True
    return set(progress.placements) <= set(planned.placements) and set(progress.fills) <= set(
        planned.fills
    )


def _request_now(job: Job, standing: LoadPlan) -> LoadRequest:
    request, plan = plan_of(plan=standing)
    state = job_state(job=job)
    return request_now(request, plan, state)


def _demand_holds(job: Job, plan: LoadPlan) -> None:
    assert job.tasks_plan is not None  # asked before
    state = job_state(job=job)
    planned = parse_plan(plan.document)
    request = _request_now(job, job.tasks_plan)
    if not _keeps_what_is_done(job, job.tasks_plan, planned):
        raise PlanHoldsNoLonger(plan.version, _("something stands elsewhere since"))
    # An order of the pulls is a wish, which a version of another order does not break.
    request = replace(request, pull_order=None)
    report = check_plan(request, carried_over(request, planned, state))
    if report.broken:
        raise PlanHoldsNoLonger(plan.version, report.broken[0].message)
