"""What people did and saw, in the order in which we learned it, and the state that follows."""

from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from jobs.models.jobs import Job

SUBJECTS = ("tag", "vault", "fill", "tier", "task")


class Stream(models.Model):
    """A sequence of events: of a warehouse, of a branch's day, or of a job.

    The next number is taken under this row's lock, so a reader that has seen number 7 will
    never find a new number 6. Streams are locked in the order warehouse, day, job.
    """

    class Kind(models.TextChoices):
        WAREHOUSE = "warehouse"
        DAY = "day"
        JOB = "job"

    branch = models.ForeignKey("inventory.Branch", models.PROTECT, related_name="streams")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    key = models.CharField(max_length=80)
    last_sequence = models.PositiveBigIntegerField(default=0)

    class Meta:
        ordering = ("kind", "key")
        constraints = (
            models.UniqueConstraint(fields=("branch", "kind", "key"), name="stream_once"),
            models.CheckConstraint(
                condition=Q(kind__in=("warehouse", "day", "job")), name="stream_kind_known"
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


class Event(models.Model):
    """A fact. Rows are added and never changed: a trigger of the database says so.

    `happened_at` is the device's clock; `clock_offset_ms` is by how much that was ahead of
    ours. An event that concerns a second stream is stored once and has a number there too.
    """

    class Outcome(models.TextChoices):
        RECORDED = "recorded"
        CONFLICT = "conflict"

    stream = models.ForeignKey(Stream, models.PROTECT, related_name="events")
    sequence = models.PositiveBigIntegerField()
    also_stream = models.ForeignKey(
        Stream, models.PROTECT, null=True, blank=True, related_name="events_of_others"
    )
    also_sequence = models.PositiveBigIntegerField(null=True, blank=True)
    uuid = models.UUIDField(unique=True)
    kind = models.CharField(max_length=30)
    version = models.PositiveSmallIntegerField(default=1)
    payload: "models.JSONField[dict[str, Any]]" = models.JSONField(default=dict)
    actor = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    device = models.ForeignKey(
        "inventory.Device", models.PROTECT, null=True, blank=True, related_name="+"
    )
    happened_at = models.DateTimeField()
    clock_offset_ms = models.BigIntegerField(default=0)
    recorded_at = models.DateTimeField()
    outcome = models.CharField(max_length=10, choices=Outcome.choices)
    conflict = models.CharField(max_length=30, blank=True)

    class Meta:
        ordering = ("stream", "sequence")
        constraints = (
            models.UniqueConstraint(fields=("stream", "sequence"), name="event_sequence_once"),
            models.UniqueConstraint(
                fields=("also_stream", "also_sequence"), name="event_second_sequence_once"
            ),
            models.CheckConstraint(condition=Q(sequence__gte=1), name="event_sequence_from_one"),
            models.CheckConstraint(
                condition=Q(also_stream__isnull=True, also_sequence__isnull=True)
                | Q(also_stream__isnull=False, also_sequence__gte=1) & ~Q(also_stream=F("stream")),
                name="event_second_stream_whole_or_none",
            ),
            models.CheckConstraint(
                condition=Q(outcome="recorded", conflict="")
                | Q(outcome="conflict") & ~Q(conflict=""),
                name="event_conflict_is_told",
            ),
        )

    def __str__(self) -> str:
        return f"{self.stream_id}/{self.sequence} {self.kind}"

    @property
    def subject(self) -> str:
        """The key of what it is about, "" where it is about nothing in particular."""
        named = (self.payload.get(name) for name in SUBJECTS)
        return str(next((value for value in named if value not in (None, "")), ""))

    @property
    def happened_by_our_clock(self) -> datetime:
        return self.happened_at - timedelta(milliseconds=self.clock_offset_ms)


class JobState(models.Model):
    """The fold of a job's events up to `sequence`; a fresh fold gives the same."""

    job = models.OneToOneField(Job, models.CASCADE, related_name="state")
    state: "models.JSONField[dict[str, Any]]" = models.JSONField(default=dict)
    sequence = models.PositiveBigIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.job_id} at {self.sequence}"
