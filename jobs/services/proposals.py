"""What the dispatcher does with a proposal: accept it, or pin the person to where he or she is."""

from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from inventory.models import User
from jobs.errors import JobClosed, NotOnJob
from jobs.folding import EventKind
from jobs.models import CrewMember, CrewPin, Event, Job
from jobs.services.crew import crew_member_put
from jobs.services.events import events_record
from jobs.services.schedule_asking import balance_ask


@transaction.atomic
def proposal_accept(
    *, wish: UUID, person: User, from_job: Job, to_job: Job, by: User, now: datetime
) -> CrewMember:
    """Send a person from one job to another, in the same part; both jobs' records say so.

    The same `wish` twice sends once. What the person has in hand is given out anew. Raises
    `NotOnJob`, and `JobClosed` where either job is closed.
    """
    for job in (from_job, to_job):
        if job.status == Job.Status.CLOSED:
            raise JobClosed(job.id)
    member = from_job.crew.filter(user=person).first()
    if member is None:
        raise NotOnJob(person.get_username(), from_job.load.reference)
    off = uuid5(wish, "off")
    if Event.objects.filter(uuid=off).exists():
        return to_job.crew.get(user=person)
    if not member.active:
        raise NotOnJob(person.get_username(), from_job.load.reference)
    CrewPin.objects.filter(day=from_job.day, person=person).delete()
    sent = crew_member_put(
        job=to_job, user=person, part=member.part, leaves_at=member.leaves_at, now=now
    )
    _tell(from_job, off, EventKind.HELPER_OFF, member, by, now)
    _tell(to_job, uuid5(wish, "on"), EventKind.HELPER_ON, sent, by, now)
    balance_ask(branch_id=from_job.branch_id, day=from_job.day, now=now)
    return sent


@transaction.atomic
def crew_pin(*, person: User, job: Job, by: User, now: datetime) -> CrewPin:
    """Keep a person on a job for its day. Pinned elsewhere before, he or she is pinned here now.

    Raises `NotOnJob` and `JobClosed`.
    """
    if job.status == Job.Status.CLOSED:
        raise JobClosed(job.id)
    if not job.crew.filter(user=person, active=True).exists():
        raise NotOnJob(person.get_username(), job.load.reference)
    pin, _ = CrewPin.objects.update_or_create(
        day=job.day, person=person, defaults={"job": job, "pinned_by": by, "pinned_at": now}
    )
    balance_ask(branch_id=job.branch_id, day=job.day, now=now)
    return pin


@transaction.atomic
def crew_unpin(*, person: User, job: Job, now: datetime) -> None:
    """Let a person go where the day needs people; one who is not pinned to the job stays as is."""
    CrewPin.objects.filter(day=job.day, person=person, job=job).delete()
    balance_ask(branch_id=job.branch_id, day=job.day, now=now)


def _tell(
    job: Job, uuid: UUID, kind: EventKind, member: CrewMember, by: User, now: datetime
) -> None:
    event: dict[str, Any] = {
        "uuid": str(uuid),
        "kind": kind,
        "happened_at": now,
        "payload": {"member": member.pk},
    }
    events_record(job=job, events=[event], actor=by, ours=True, now=now)
