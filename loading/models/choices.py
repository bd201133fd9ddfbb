"""Which truck takes a release: the question, its worker, and the answer."""

import uuid
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q


class TruckChoice(models.Model):
    """A fleet to choose from for the goods of a release.

    `request_document` and `fleet` (trucks in the form of the planning contract) are frozen when it
    is asked, so that the answer stays true to its question. `answer` is what
    `loading.services.truck_choices` tells. A worker holds it until `lease_until`.
    """

    class Status(models.TextChoices):
        QUEUED = "queued"
        RUNNING = "running"
        DONE = "done"
        FAILED = "failed"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    branch = models.ForeignKey("inventory.Branch", models.PROTECT, related_name="truck_choices")
    release = models.ForeignKey("inventory.Release", models.PROTECT, related_name="truck_choices")
    dock = models.ForeignKey("loading.Dock", models.PROTECT, related_name="+")
    distance_km = models.FloatField()
    request_document: "models.JSONField[dict[str, Any]]" = models.JSONField()
    fleet: "models.JSONField[list[dict[str, Any]]]" = models.JSONField()
    seed = models.PositiveIntegerField(default=1)
    budget_s = models.FloatField(help_text="for each truck that is tried")
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.QUEUED)
    attempt = models.PositiveSmallIntegerField(default=0)
    lease_until = models.DateTimeField(null=True, blank=True)
    answer: "models.JSONField[dict[str, Any] | None]" = models.JSONField(null=True, blank=True)
    problem = models.CharField(max_length=300, blank=True)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    sent_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-asked_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(status__in=["queued", "running", "done", "failed"]),
                name="truck_choice_status_known",
            ),
            models.CheckConstraint(
                condition=Q(budget_s__gt=0), name="truck_choice_budget_positive"
            ),
            models.CheckConstraint(
                condition=Q(status="done", answer__isnull=False)
                | ~Q(status="done") & Q(answer__isnull=True),
                name="truck_choice_done_with_answer",
            ),
            models.CheckConstraint(
                condition=Q(status="running", lease_until__isnull=False)
                | ~Q(status="running") & Q(lease_until__isnull=True),
                name="truck_choice_has_lease_while_running",
            ),
            models.CheckConstraint(
                condition=Q(status__in=["queued", "running"], finished_at__isnull=True)
                | ~Q(status__in=["queued", "running"]) & Q(finished_at__isnull=False),
                name="truck_choice_ends_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.release_id}: {self.status}"

    @property
    def is_finished(self) -> bool:
        return self.status in (self.Status.DONE, self.Status.FAILED)
