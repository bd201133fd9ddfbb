"""A job: one load, on one day, with its crew."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _


class Job(models.Model):
    """A load to be loaded on a day.

    `plan` is the version that was accepted; `tasks_plan` the one whose tasks stand. They differ
    while the office holds the shipment: then the accepted plan waits without tasks.
    """

    class Status(models.TextChoices):
        PLANNED = "planned", _("planned")
        ACCEPTED = "accepted", _("accepted")
        RUNNING = "running", _("running")
        CLOSED = "closed", _("closed")

    AT_WORK = (Status.ACCEPTED, Status.RUNNING)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    branch = models.ForeignKey("inventory.Branch", models.PROTECT, related_name="jobs")
    load = models.OneToOneField("loading.Load", models.PROTECT, related_name="job")
    day = models.DateField(_("day"))
    window_start = models.DateTimeField(_("from"))
    window_end = models.DateTimeField(_("until"))
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.PLANNED)
    plan = models.ForeignKey(
        "loading.LoadPlan", models.PROTECT, null=True, blank=True, related_name="+"
    )
    tasks_plan = models.ForeignKey(
        "loading.LoadPlan", models.PROTECT, null=True, blank=True, related_name="+"
    )
    accepted_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("day", "window_start", "id")
        constraints = (
            models.CheckConstraint(
                condition=Q(status__in=("planned", "accepted", "running", "closed")),
                name="job_status_known",
            ),
            models.CheckConstraint(
                condition=Q(window_end__gt=F("window_start")), name="job_window_has_length"
            ),
            models.CheckConstraint(
                condition=Q(status="planned", plan__isnull=True, accepted_at__isnull=True)
                | Q(plan__isnull=False, accepted_at__isnull=False) & ~Q(status="planned")
                | Q(status="closed"),
                name="job_accepted_with_a_plan",
            ),
            models.CheckConstraint(
                condition=Q(tasks_plan__isnull=True) | Q(plan__isnull=False),
                name="job_tasks_of_an_accepted_plan",
            ),
        )
        indexes = (models.Index(fields=("branch", "day"), name="job_of_the_day"),)

    def __str__(self) -> str:
        return f"{self.load.reference} {self.day}"


class CrewMember(models.Model):
    """Someone who works on a job, and as what, from when on. Who has left stays, not active."""

    class Part(models.TextChoices):
        LOADER = "loader", _("loader")
        WAREHOUSE = "warehouse", _("warehouse")
        HELPER = "helper", _("helper")

    job = models.ForeignKey(Job, models.CASCADE, related_name="crew")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="crews")
    part = models.CharField(_("part"), max_length=10, choices=Part.choices)
    comes_at = models.DateTimeField(_("comes at"), null=True, blank=True)
    leaves_at = models.DateTimeField(_("leaves at"), null=True, blank=True)
    active = models.BooleanField(_("on the floor"), default=True)

    class Meta:
        ordering = ("job", "id")
        constraints = (
            models.UniqueConstraint(fields=("job", "user"), name="crew_member_once_per_job"),
            models.CheckConstraint(
                condition=Q(part__in=("loader", "warehouse", "helper")), name="crew_part_known"
            ),
        )

    def __str__(self) -> str:
        return f"{self.user} ({self.part})"
