"""What another order of pulls or a larger dock would give: the question, its worker, the answer."""

import uuid
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q


class DockStudy(models.Model):
    """Asked of a stored plan, which never changes; so one that is answered stays true.

    `answer` is what `loading.services.dock_studies` tells. A worker holds it until `lease_until`.
    """

    class Status(models.TextChoices):
        QUEUED = "queued"
        RUNNING = "running"
        DONE = "done"
        FAILED = "failed"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    plan = models.ForeignKey("loading.LoadPlan", models.PROTECT, related_name="dock_studies")
    budget_s = models.FloatField(help_text="for each order and each dock that is tried")
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
        verbose_name_plural = "dock studies"
        constraints = [
            models.CheckConstraint(
                condition=Q(status__in=["queued", "running", "done", "failed"]),
                name="dock_study_status_known",
            ),
            models.CheckConstraint(condition=Q(budget_s__gt=0), name="dock_study_budget_positive"),
            models.CheckConstraint(
                condition=Q(status="done", answer__isnull=False)
                | ~Q(status="done") & Q(answer__isnull=True),
                name="dock_study_done_with_answer",
            ),
            models.CheckConstraint(
                condition=Q(status="running", lease_until__isnull=False)
                | ~Q(status="running") & Q(lease_until__isnull=True),
                name="dock_study_has_lease_while_running",
            ),
            models.CheckConstraint(
                condition=Q(status__in=["queued", "running"], finished_at__isnull=True)
                | ~Q(status__in=["queued", "running"]) & Q(finished_at__isnull=False),
                name="dock_study_ends_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.plan_id}: {self.status}"

    @property
    def is_finished(self) -> bool:
        return self.status in (self.Status.DONE, self.Status.FAILED)
