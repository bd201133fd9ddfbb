"""What a scale said of a load: its weight tickets."""

import uuid

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _


class ScaleTicket(models.Model):
    """A weight ticket as it is written, as far as it is filled in; the latest of a load holds.

    `pads_after_tare` came aboard between the two weighings, `other_after_tare_g` is what else did
    (fuel, people; below 0: it left). `explanation` is what somebody says of the difference that
    is left. A correction is another ticket: a trigger keeps each as it was written.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    load = models.ForeignKey("loading.Load", models.PROTECT, related_name="scale_tickets")
    scale_name = models.CharField(_("name of the scale"), max_length=80, blank=True)
    scale_place = models.CharField(_("place of the scale"), max_length=120, blank=True)
    weighed_on = models.DateField(_("weighed on"), null=True, blank=True)
    gross_g = models.PositiveIntegerField(_("gross"), null=True, blank=True)
    tare_g = models.PositiveIntegerField(_("tare"), null=True, blank=True)
    net_g = models.PositiveIntegerField(_("net"), null=True, blank=True)
    vehicle = models.CharField(_("vehicle"), max_length=60, blank=True)
    shipper = models.CharField(_("shipper"), max_length=100, blank=True)
    shipment = models.CharField(_("shipment's number"), max_length=60, blank=True)
    pads_after_tare = models.PositiveIntegerField(default=0)
    other_after_tare_g = models.IntegerField(default=0)
    explanation = models.CharField(_("explanation"), max_length=300, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-recorded_at", "-id"]

    def __str__(self) -> str:
        return f"{self.load_id} {self.weighed_on}: {self.net_g} g"
