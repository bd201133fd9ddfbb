"""A crew member's phone: paired for one job by a code that is shown once."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from jobs.models.jobs import CrewMember


class Pairing(models.Model):
    """Leave to pair a phone, and the phone that took it.

    Only a hash of the code is kept. The phone works until `until`, for the member's job alone.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    member = models.ForeignKey(CrewMember, models.CASCADE, related_name="pairings")
    code_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    take_by = models.DateTimeField(help_text="until when the code can be taken")
    until = models.DateTimeField(help_text="until when the phone works")
    device = models.OneToOneField(
        "inventory.Device", models.PROTECT, null=True, blank=True, related_name="pairing"
    )

    class Meta:
        ordering = ("member", "made_at")
        constraints = (
            models.CheckConstraint(
                condition=Q(take_by__gt=F("made_at")) & Q(until__gte=F("take_by")),
                name="pairing_times_in_order",
            ),
        )

    def __str__(self) -> str:
        return f"{self.member_id} until {self.until}"
