"""An order of the pulls that somebody chose for a job, or that it is free again."""

import uuid

from django.conf import settings
from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q

from jobs.models.jobs import Job


class OrderChoice(models.Model):
    """One choosing; the newest stands. `codes` is null where the planner may choose again.

    `run` is the plan that was asked for with it.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    job = models.ForeignKey(Job, models.CASCADE, related_name="order_choices")
    codes = ArrayField(models.CharField(max_length=20), null=True, blank=True)
    run = models.OneToOneField("loading.PlanRun", models.PROTECT, related_name="+")
    chosen_at = models.DateTimeField()
    chosen_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ("job", "-chosen_at", "-id")
        constraints = (
            models.CheckConstraint(
                condition=Q(codes__isnull=True) | Q(codes__len__gt=0),
                name="order_choice_names_vaults",
            ),
        )

    def __str__(self) -> str:
        return f"{self.job_id}: {', '.join(self.codes) if self.codes else 'free'}"
