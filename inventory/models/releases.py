"""The warehouse's leave to hand a shipment out, and what the office has against it."""

import uuid

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.models.goods import Item
from inventory.models.people import User
from inventory.models.storage import Shipment


class Release(models.Model):
    """What leaves and who may receive it. No items named means the whole shipment."""

    uuid = models.UUIDField(default=uuid.uuid4, unique=True)
    shipment = models.ForeignKey(Shipment, on_delete=models.PROTECT, related_name="releases")
    reference = models.CharField(_("reference"), max_length=40)
    items = models.ManyToManyField(Item, blank=True, related_name="releases")
    receiver_name = models.CharField(_("receiver"), max_length=100)
    identity_checked_at = models.DateTimeField(null=True, blank=True)
    identity_checked_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    created_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ("-created_at",)
        constraints = (
            models.UniqueConstraint(
                fields=("shipment", "reference"), name="release_reference_once_per_shipment"
            ),
            models.CheckConstraint(
                condition=Q(identity_checked_at__isnull=True, identity_checked_by__isnull=True)
                | Q(identity_checked_at__isnull=False, identity_checked_by__isnull=False),
                name="release_identity_checked_by_somebody",
            ),
            models.CheckConstraint(
                condition=~Q(reference="") & ~Q(receiver_name=""), name="release_is_named"
            ),
        )

    def __str__(self) -> str:
        return self.reference


class Hold(models.Model):
    """A reason of the office why nothing of a shipment may leave, until somebody lifts it."""

    class Kind(models.TextChoices):
        UNPAID_STORAGE = "unpaid_storage", _("unpaid storage")
        LIEN = "lien", _("lien")
        DISPUTE = "dispute", _("dispute")
        COURT = "court", _("court order")

    uuid = models.UUIDField(default=uuid.uuid4, unique=True)
    shipment = models.ForeignKey(Shipment, on_delete=models.PROTECT, related_name="holds")
    kind = models.CharField(_("kind"), max_length=20, choices=Kind.choices)
    reason = models.CharField(_("reason"), max_length=200, blank=True)
    placed_at = models.DateTimeField(default=timezone.now)
    placed_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    lifted_at = models.DateTimeField(null=True, blank=True)
    lifted_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ("placed_at",)
        constraints = (
            models.CheckConstraint(
                condition=Q(kind__in=("unpaid_storage", "lien", "dispute", "court")),
                name="hold_kind_known",
            ),
            models.CheckConstraint(
                condition=Q(lifted_at__isnull=True, lifted_by__isnull=True)
                | Q(lifted_at__isnull=False, lifted_by__isnull=False),
                name="hold_lifted_by_somebody",
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.shipment_id}"
