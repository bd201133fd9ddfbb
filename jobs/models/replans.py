"""Planning the rest of a load anew, because something went otherwise than planned."""

import uuid
from typing import Any

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from jobs.models.jobs import Job


class Replan(models.Model):
    """Asked for by an event, claimed by a worker until `lease_until`, and what came of it.

    `causes` are the events' kinds and what they are about (`piece_missing 012`), `frozen` keys of
    tasks that stay whatever comes, `after_sequence` the last event that it knew of. `told` are
    the figures of the sentence that people read. A second look goes on from what a replan found
    in a hurry, for as long as nothing else is asked for.
    """

    class Status(models.TextChoices):
        ASKED = "asked", _("asked for")
        PLANNING = "planning", _("planning")
        PUBLISHED = "published", _("published")
        KEPT = "kept", _("the plan stays")
        OVERTAKEN = "overtaken", _("overtaken by events")
        FAILED = "failed", _("no plan found")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    job = models.ForeignKey(Job, models.CASCADE, related_name="replans")
    causes = ArrayField(models.CharField(max_length=120))
    second_look = models.BooleanField(default=False)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.ASKED)
    asked_at = models.DateTimeField()
    claimed_by = models.CharField(max_length=120, blank=True)
    attempt = models.PositiveSmallIntegerField(default=0)
    lease_until = models.DateTimeField(null=True, blank=True)
    after_sequence = models.PositiveBigIntegerField(default=0)
    frozen = ArrayField(models.CharField(max_length=80), default=list, blank=True)
    former = models.ForeignKey(
        "loading.LoadPlan", models.PROTECT, null=True, blank=True, related_name="+"
    )
    run = models.OneToOneField(
        "loading.PlanRun", models.PROTECT, null=True, blank=True, related_name="+"
    )
    told: "models.JSONField[dict[str, Any]]" = models.JSONField(default=dict, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("job", "asked_at", "id")
        constraints = (
            models.CheckConstraint(
                condition=Q(
                    status__in=("asked", "planning", "published", "kept", "overtaken", "failed")
                ),
                name="replan_status_known",
            ),
            models.UniqueConstraint(
                fields=("job",), condition=Q(status="asked"), name="replan_asked_once_per_job"
            ),
            models.UniqueConstraint(
                fields=("job",), condition=Q(status="planning"), name="replan_one_at_a_time"
            ),
            models.CheckConstraint(
                condition=Q(status="planning", lease_until__isnull=False)
                | ~Q(status="planning") & Q(lease_until__isnull=True),
                name="replan_has_lease_while_planning",
            ),
            models.CheckConstraint(
                condition=Q(status__in=("asked", "planning"), finished_at__isnull=True)
                | ~Q(status__in=("asked", "planning")) & Q(finished_at__isnull=False),
                name="replan_ends_once",
            ),
        )

    def __str__(self) -> str:
        return f"{self.job_id} {self.status}: {', '.join(self.causes)}"
