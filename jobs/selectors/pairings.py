"""Paired phones: which one asks, and which there are on a job."""

import hashlib
import hmac
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from inventory.models import Device, User
from jobs.models import Job, Pairing


@dataclass(frozen=True, slots=True)
class PairedPhone:
    """A phone that may ask, for whom it asks and about which one job."""

    device: Device
    user: User
    job_id: UUID


def secret_hash(secret: str) -> str:
    """What is kept of a code or a token: SHA-256, enough for 256 random bits (FIPS 180-4)."""
    return hashlib.sha256(secret.encode()).hexdigest()


def paired_phone(*, device_id: UUID, token: str, now: datetime) -> PairedPhone | None:
    """The phone with this id and token, unless it is revoked, its shift over or its job closed."""
    pairing = (
        Pairing.objects.filter(device=device_id, device__revoked_at__isnull=True, until__gt=now)
        .exclude(member__job__status=Job.Status.CLOSED)
        .select_related("device", "member__user")
        .first()
    )
    if pairing is None or pairing.device is None or not pairing.member.user.is_active:
        return None
    if not hmac.compare_digest(pairing.device.token_hash, secret_hash(token)):
        return None
    return PairedPhone(pairing.device, pairing.member.user, pairing.member.job_id)


def pairing_open(*, code: str, now: datetime) -> Pairing | None:
    """The pairing that a code opens, while nobody has taken it and its time is not over."""
    return (
        Pairing.objects.filter(code_hash=secret_hash(code), device__isnull=True, take_by__gt=now)
        .select_related("member__user", "member__job__load", "member__job__branch")
        .first()
    )


def job_phones(*, job: Job) -> Sequence[Pairing]:
    """The phones that were paired for a job, the latest first."""
    taken = Pairing.objects.filter(member__job=job, device__isnull=False)
    return list(taken.select_related("device", "member__user").order_by("-device__paired_at"))
