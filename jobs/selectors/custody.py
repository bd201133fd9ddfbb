"""What became of the pieces of a job, out of its plan and its events."""

from jobs.custody.accounting import TagAccount, tags_accounted
from jobs.custody.log import CustodyEvent, custody_log
from jobs.folding import EventKind
from jobs.models import Event, Job, Stream
from jobs.selectors.states import job_state
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import LoadRequest
from loading.selectors import load_labels, load_latest_plan, plan_of


def job_tags(*, job: Job) -> tuple[TagAccount, ...]:
    """Every tag of the job's list and what became of it; none before there is a plan."""
    known = _planned(job)
    if known is None:
        return ()
    request, planned = known
    return tags_accounted(
        leaves={item.tag: item.leaves for item in request.items},
        left_off={left.tag: left.reason for left in planned.left_off},
        state=job_state(job=job),
    )


def piece_custody(*, job: Job, tag: str) -> tuple[CustodyEvent, ...]:
    """The custody log of one piece; empty where nothing is known of the tag."""
    known = _planned(job)
    vault = known[0].vault_of(tag) if known else None
    return custody_log(job_events(job=job), tag=tag, vault=vault)


def piece_vault(*, job: Job, tag: str) -> str | None:
    """The vault that the piece was stored in, None for a loose one."""
    known = _planned(job)
    return known[0].vault_of(tag) if known else None


def piece_shipment(*, job: Job, tag: str) -> str:
    """The shipment that a piece of the job is of; of what no list knows, the first one aboard."""
    of = {label: item.shipment_id for item, label in load_labels(load=job.load, left=True)}
    aboard = {release.shipment_id: release.shipment.reference for release in job.load.releases()}
    return aboard.get(of.get(tag, 0), job.load.release.shipment.reference)


def _planned(job: Job) -> tuple[LoadRequest, PlannedLoad] | None:
    plan = job.plan or load_latest_plan(load=job.load)
    return None if plan is None else plan_of(plan=plan)


def job_events(*, job: Job) -> list[CustodyEvent]:
    """All events of a job, in the order in which they were recorded."""
    events = Event.objects.filter(stream__kind=Stream.Kind.JOB, stream__key=str(job.id))
    return [
        CustodyEvent(
            uuid=str(event.uuid),
            kind=EventKind(event.kind),
            payload=event.payload,
            happened_at=event.happened_by_our_clock,
            recorded_at=event.recorded_at,
            actor=event.actor.username if event.actor else "",
            conflict=event.conflict,
        )
        for event in events.select_related("actor").order_by("sequence")
    ]
