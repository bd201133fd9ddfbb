"""The asking for a plan (a run) and what came of it (a plan, one version of a load's)."""

import uuid
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q


class PlanRun(models.Model):
    """One request to plan a load: the row that a worker claims.

    A worker holds a run until `lease_until` and renews the lease while it works. `attempt` counts
    the claims: a worker writes only under the number it claimed with, so one that was thought
    dead and comes back cannot disturb its successor. `enough_at`: since when somebody wants the
    best plan found so far rather than a better one later. `improves`: it goes on looking for a
    better plan though the plan before still holds.
    """

    class Status(models.TextChoices):
        QUEUED = "queued"
        RUNNING = "running"
        DONE = "done"
        FAILED = "failed"
        CANCELLED = "cancelled"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    load = models.ForeignKey("loading.Load", models.PROTECT, related_name="runs")
    request_document: "models.JSONField[dict[str, Any]]" = models.JSONField()
    seed = models.PositiveIntegerField()
    budget_s = models.FloatField()
    improves = models.BooleanField(default=False)
    requested_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    created_at = models.DateTimeField(auto_now_add=True)
    sent_at = models.DateTimeField(null=True, blank=True)

    status = models.CharField(max_length=10, choices=Status.choices, default=Status.QUEUED)
    claimed_by = models.CharField(max_length=120, blank=True)
    attempt = models.PositiveSmallIntegerField(default=0)
    lease_until = models.DateTimeField(null=True, blank=True)
    share = models.FloatField(default=0)
    space_use = models.FloatField(default=0)
    pieces = models.PositiveIntegerField(default=0, help_text="How many the request wants loaded.")
    pieces_placed = models.PositiveIntegerField(default=0)
    problem: "models.JSONField[dict[str, Any] | None]" = models.JSONField(null=True, blank=True)
    enough_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.CheckConstraint(condition=Q(budget_s__gt=0), name="run_budget_positive"),
            models.CheckConstraint(
                condition=Q(share__gte=0, share__lte=1), name="run_share_is_share"
            ),
            models.CheckConstraint(
                condition=Q(status__in=["queued", "running", "done", "failed", "cancelled"]),
                name="run_status_is_known",
            ),
            models.CheckConstraint(
                condition=Q(status="running", lease_until__isnull=False)
                | (~Q(status="running") & Q(lease_until__isnull=True)),
                name="run_has_lease_while_running",
            ),
            models.CheckConstraint(
                condition=Q(status__in=["queued", "running"], finished_at__isnull=True)
                | (~Q(status__in=["queued", "running"]) & Q(finished_at__isnull=False)),
                name="run_ends_once",
            ),
            models.CheckConstraint(
                condition=Q(status="failed", problem__isnull=False)
                | (~Q(status="failed") & Q(problem__isnull=True)),
                name="run_failure_is_told",
            ),
        ]
        indexes = [
            models.Index(
                fields=["created_at"],
                name="run_unfinished",
                condition=Q(status__in=["queued", "running"]),
            )
        ]

    def __str__(self) -> str:
        return f"{self.id} ({self.status})"

    @property
    def is_finished(self) -> bool:
        return self.status not in {self.Status.QUEUED, self.Status.RUNNING}

    @property
    def space_use_pct(self) -> float:
        return 100 * self.space_use

    @property
    def plan(self) -> "LoadPlan | None":
        return getattr(self, "stored_plan", None)


class LoadPlan(models.Model):
    """One version of a load's plan. Never edited nor deleted: a trigger of the database says so."""

    load = models.ForeignKey("loading.Load", models.PROTECT, related_name="plans")
    version = models.PositiveIntegerField()
    run = models.OneToOneField("loading.PlanRun", models.PROTECT, related_name="stored_plan")
    request_document: "models.JSONField[dict[str, Any]]" = models.JSONField()
    document: "models.JSONField[dict[str, Any]]" = models.JSONField()
    figures: "models.JSONField[dict[str, Any]]" = models.JSONField()
    checked_at = models.DateTimeField()

    class Meta:
        ordering = ["load_id", "-version"]
        constraints = [
            models.UniqueConstraint(fields=["load", "version"], name="plan_version_once"),
            models.CheckConstraint(condition=Q(version__gte=1), name="plan_version_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.load.reference} v{self.version}"
