"""Who shall do what when on a floor, how a day's people are spread, and how long work takes."""

from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from jobs.models.claims import MadeByWorker
from jobs.models.jobs import Job


class FloorPlan(MadeByWorker):
    """The schedule of a job's floor: `document` in the form of `jobs.scheduling.floor`.

    Its times are seconds from `starts_at`, its people keys of crew members; `edition` counts up
    whenever another document is stored. It is advice: what is given to whom is decided when a task
    is handed out. `looks_at` is when the sweep looks whether something can be handed out that could
    not before; null: at once.
    """

    job = models.OneToOneField(Job, models.CASCADE, related_name="floor_plan")
    starts_at = models.DateTimeField(null=True, blank=True)
    document: "models.JSONField[dict[str, Any]]" = models.JSONField(default=dict, blank=True)
    edition = models.PositiveBigIntegerField(default=0)
    looks_at = models.DateTimeField(null=True, blank=True)

    class Meta(MadeByWorker.Meta):
        pass

    def __str__(self) -> str:
        return f"{self.job_id} {self.made}/{self.wanted}"


class DayBalance(MadeByWorker):
    """Changes of the crews of a branch's day that are worth a word, as the last look found them.

    `proposals` are objects of person, from_job, to_job, gain_min and late_gain_min, best first.
    """

    branch = models.ForeignKey("inventory.Branch", models.CASCADE, related_name="day_balances")
    day = models.DateField()
    proposals: "models.JSONField[list[dict[str, Any]]]" = models.JSONField(default=list, blank=True)

    class Meta(MadeByWorker.Meta):
        constraints: ClassVar[tuple[models.BaseConstraint, ...]] = (
            *MadeByWorker.Meta.constraints,
            models.UniqueConstraint(fields=("branch", "day"), name="a_balance_for_each_day"),
        )

    def __str__(self) -> str:
        return f"{self.branch_id} {self.day}"


class CrewPin(models.Model):
    """Somebody who stays on a job for the day: no proposal takes him or her away."""

    day = models.DateField(_("day"))
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="pins")
    job = models.ForeignKey(Job, models.CASCADE, related_name="pins")
    pinned_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    pinned_at = models.DateTimeField()

    class Meta:
        ordering = ("day", "id")
        constraints = (
            models.UniqueConstraint(fields=("day", "person"), name="pinned_to_one_job_a_day"),
        )

    def __str__(self) -> str:
        return f"{self.person_id} {self.day}: {self.job_id}"


class BranchRates(models.Model):
    """How long work takes at a branch, by kind and number of people, never by person.

    `document` is in the form of `jobs.scheduling.rates`. A branch without a row works by our first
    guess. It is corrected by each job that is closed, once.
    """

    branch = models.OneToOneField("inventory.Branch", models.CASCADE, related_name="work_rates")
    document: "models.JSONField[dict[str, Any]]" = models.JSONField()
    estimated_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "branch rates"

    def __str__(self) -> str:
        return f"{self.branch_id} {self.estimated_at:%Y-%m-%d}"
