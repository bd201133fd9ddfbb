"""What a question that a worker answers has, whatever it asks: state, lease, answer."""

import uuid
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q


class Question(models.Model):
    """Asked once, answered by a worker, which holds it until `lease_until`."""

    class Status(models.TextChoices):
        QUEUED = "queued"
        RUNNING = "running"
        DONE = "done"
        FAILED = "failed"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
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
        abstract = True

    @property
    def is_finished(self) -> bool:
        return self.status in (self.Status.DONE, self.Status.FAILED)


def question_constraints(name: str) -> list[models.BaseConstraint]:
    """What must hold of a table of questions; their names begin with `name`."""
    return [
        models.CheckConstraint(
            condition=Q(status__in=["queued", "running", "done", "failed"]),
            name=f"{name}_status_known",
        ),
        models.CheckConstraint(condition=Q(budget_s__gt=0), name=f"{name}_budget_positive"),
        models.CheckConstraint(
            condition=Q(status="done", answer__isnull=False)
            | ~Q(status="done") & Q(answer__isnull=True),
            name=f"{name}_done_with_answer",
        ),
        models.CheckConstraint(
            condition=Q(status="running", lease_until__isnull=False)
            | ~Q(status="running") & Q(lease_until__isnull=True),
            name=f"{name}_has_lease_while_running",
        ),
        models.CheckConstraint(
            condition=Q(status__in=["queued", "running"], finished_at__isnull=True)
            | ~Q(status__in=["queued", "running"]) & Q(finished_at__isnull=False),
            name=f"{name}_ends_once",
        ),
    ]
