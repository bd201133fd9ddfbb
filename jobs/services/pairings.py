"""Pairing a phone for a shift, and ending that."""

import secrets
from datetime import datetime, timedelta
from typing import Final

from django.db import transaction

from inventory.models import Device, User
from jobs.errors import CodeSpent, JobClosed
from jobs.models import CrewMember, Job, Pairing
from jobs.selectors.pairings import secret_hash
from jobs.services.live import phone_end_publish

CODE_VALID: Final = timedelta(minutes=10)
AFTER_THE_WINDOW: Final = timedelta(hours=4)
"""For how long after its job's window a phone still works: days run late."""
SECRET_BYTES: Final = 32


def pairing_create(
    *, member: CrewMember, by: User | None, now: datetime, valid: timedelta = CODE_VALID
) -> tuple[Pairing, str]:
    """Leave to pair one phone for a crew member; the code is told this once and not kept."""
    if member.job.status == Job.Status.CLOSED:
        raise JobClosed(member.job_id)
    code = secrets.token_urlsafe(SECRET_BYTES)
    pairing = Pairing.objects.create(
        member=member,
        code_hash=secret_hash(code),
        made_at=now,
        made_by=by,
        take_by=now + valid,
        until=max(member.job.window_end + AFTER_THE_WINDOW, now + valid),
    )
    return pairing, code


@transaction.atomic
def pairing_take(*, code: str, label: str, now: datetime) -> tuple[Device, str]:
    """Pair the phone that holds the code; its token is told this once and not kept.

    Raises `CodeSpent` when the code was taken, is too old, or never was.
    """
    pairing = (
        Pairing.objects.select_for_update(of=("self",))
        .filter(code_hash=secret_hash(code), device__isnull=True, take_by__gt=now)
        .select_related("member__job", "member__user")
        .first()
    )
    if pairing is None or pairing.member.job.status == Job.Status.CLOSED:
        raise CodeSpent
    token = secrets.token_urlsafe(SECRET_BYTES)
    device = Device.objects.create(
        branch_id=pairing.member.job.branch_id,
        user=pairing.member.user,
        label=label[:60],
        token_hash=secret_hash(token),
        paired_at=now,
    )
    pairing.device = device
    pairing.save(update_fields=["device"])
    return device, token


def device_revoke(*, device: Device, now: datetime) -> None:
    """End a phone's leave at once; doing it twice changes nothing."""
    ended = Device.objects.filter(pk=device.pk, revoked_at__isnull=True).update(revoked_at=now)
    if ended:
        phone_end_publish(device.pk)
