"""The floor work of a job, and who has which piece of it."""

import uuid

from django.conf import settings
from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from jobs.models.jobs import CrewMember, Job

KINDS = (
    "move",
    "pull",
    "unpack",
    "fetch",
    "wrap",
    "carry",
    "load",
    "fill",
    "close",
    "clear",
    "return",
    "store",
    "stow",
    "take_out",
)


class Task(models.Model):
    """One piece of floor work.

    `key` names the work (`load:012`) and stays the same through all versions of the plan.
    `needs` are keys of tasks of the same job that come first. `status` follows from the job's
    events; only "assigned" follows from an open assignment. `wanted_tier`: the loader wants the
    piece for a gap in that tier, so the task comes before all others. A task of kind "stow" is of a
    vault that comes from outside: no plan has it, and it lives as long as somebody has it in hand.
    """

    class Status(models.TextChoices):
        WAITING = "waiting", _("waiting")
        READY = "ready", _("ready")
        ASSIGNED = "assigned", _("assigned")
        BEGUN = "begun", _("begun")
        DONE = "done", _("done")
        WITHDRAWN = "withdrawn", _("withdrawn")

    OPEN = (Status.WAITING, Status.READY, Status.ASSIGNED, Status.BEGUN)

    class Kind(models.TextChoices):
        MOVE = "move", _("Move vault aside")
        PULL = "pull", _("Pull vault")
        UNPACK = "unpack", _("Unpack")
        FETCH = "fetch", _("Fetch")
        WRAP = "wrap", _("Wrap")
        CARRY = "carry", _("Carry")
        LOAD = "load", _("Load")
        FILL = "fill", _("Fill gap")
        CLOSE = "close", _("Close tier")
        CLEAR = "clear", _("Clear vault")
        RETURN = "return", _("Put back")
        STORE = "store", _("Store vault")
        STOW = "stow", _("Put away vault from outside")
        TAKE_OUT = "take_out", _("Take out")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    job = models.ForeignKey(Job, models.CASCADE, related_name="tasks")
    plan = models.ForeignKey("loading.LoadPlan", models.PROTECT, related_name="+")
    key = models.CharField(max_length=80)
    sequence = models.PositiveIntegerField()
    kind = models.CharField(max_length=10, choices=Kind.choices)
    tier = models.PositiveSmallIntegerField(null=True, blank=True)
    tag = models.CharField(max_length=40, blank=True)
    vault = models.CharField(max_length=40, blank=True)
    lane = models.CharField(max_length=40, blank=True)
    fill = models.PositiveIntegerField(null=True, blank=True)
    turn = models.PositiveSmallIntegerField(default=1)
    people = models.PositiveSmallIntegerField(default=1)
    weight_g = models.PositiveIntegerField(default=0)
    needs_equipment = models.BooleanField(default=False)
    wanted_tier = models.PositiveIntegerField(null=True, blank=True)
    needs = ArrayField(models.CharField(max_length=80), default=list, blank=True)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.WAITING)

    class Meta:
        ordering = ("job", "sequence")
        constraints = (
            models.UniqueConstraint(fields=("job", "key"), name="task_key_once_per_job"),
            models.CheckConstraint(condition=Q(kind__in=KINDS), name="task_kind_known"),
            models.CheckConstraint(
                condition=Q(
                    status__in=("waiting", "ready", "assigned", "begun", "done", "withdrawn")
                ),
                name="task_status_known",
            ),
            models.CheckConstraint(
                condition=Q(people__gte=1) & Q(people__lte=4), name="task_for_one_to_four_people"
            ),
            models.CheckConstraint(condition=Q(turn__gte=1), name="task_turn_from_one"),
        )
        indexes = (
            models.Index(
                fields=("job", "sequence"), name="task_ready", condition=Q(status="ready")
            ),
        )

    def __str__(self) -> str:
        return f"{self.sequence} {self.key} ({self.status})"


class Assignment(models.Model):
    """A task in somebody's hands.

    Nobody has two at once, on whatever jobs: the database says so, and so `person` repeats who
    the member is.
    """

    class Ending(models.TextChoices):
        DONE = "done", _("done")
        LEFT = "left", _("left the floor")
        WITHDRAWN = "withdrawn", _("withdrawn")

    task = models.ForeignKey(Task, models.CASCADE, related_name="assignments")
    member = models.ForeignKey(CrewMember, models.CASCADE, related_name="assignments")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="assignments")
    given_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    ending = models.CharField(max_length=10, choices=Ending.choices, blank=True)

    class Meta:
        ordering = ("given_at", "id")
        constraints = (
            models.UniqueConstraint(
                fields=("person",), condition=Q(ended_at__isnull=True), name="one_task_at_a_time"
            ),
            models.UniqueConstraint(
                fields=("task", "member"),
                condition=Q(ended_at__isnull=True),
                name="a_task_once_in_the_same_hands",
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ending="")
                | Q(ended_at__gte=F("given_at")) & ~Q(ending=""),
                name="assignment_ends_somehow",
            ),
        )

    def __str__(self) -> str:
        return f"{self.task_id} -> {self.member_id}"
