"""Who is there on a day, from when until when, and what somebody is certified for."""

from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from jobs.models.claims import MadeByWorker


class Shift(models.Model):
    """Somebody's hours at a branch on a day."""

    branch = models.ForeignKey("inventory.Branch", models.CASCADE, related_name="shifts")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="shifts")
    day = models.DateField(_("day"))
    starts_at = models.DateTimeField(_("from"))
    ends_at = models.DateTimeField(_("until"))

    class Meta:
        ordering = ("day", "starts_at", "id")
        constraints = (
            models.UniqueConstraint(
                fields=("branch", "person", "day"), name="one_shift_a_day_at_a_branch"
            ),
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")), name="shift_has_length"
            ),
        )

    def __str__(self) -> str:
        return f"{self.person_id} {self.day}"


class ShiftBreak(models.Model):
    """A break within a shift, as it is planned; what is really taken are events."""

    shift = models.ForeignKey(Shift, models.CASCADE, related_name="breaks")
    starts_at = models.DateTimeField(_("from"))
    ends_at = models.DateTimeField(_("until"))

    class Meta:
        ordering = ("starts_at", "id")
        constraints = (
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")), name="break_has_length"
            ),
        )

    def __str__(self) -> str:
        return f"{self.shift_id} {self.starts_at:%H:%M}"


class Skill(models.Model):
    """What somebody is certified for at a branch, beyond the parts that roles stand for."""

    class Kind(models.TextChoices):
        FORKLIFT = "forklift", _("drives the forklift")

    branch = models.ForeignKey("inventory.Branch", models.CASCADE, related_name="skills")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="skills")
    kind = models.CharField(_("skill"), max_length=12, choices=Kind.choices)

    class Meta:
        ordering = ("branch", "kind", "person")
        constraints = (
            models.UniqueConstraint(fields=("branch", "person", "kind"), name="skill_once"),
            models.CheckConstraint(condition=Q(kind__in=("forklift",)), name="skill_known"),
        )

    def __str__(self) -> str:
        return f"{self.person_id} {self.kind}"


class DockWay(models.Model):
    """How far a dock is from the branch where people begin their day; without a row, no way."""

    dock = models.OneToOneField("loading.Dock", models.CASCADE, related_name="way")
    minutes = models.PositiveSmallIntegerField(_("minutes"))

    def __str__(self) -> str:
        return f"{self.dock_id}: {self.minutes} min"


class DayCrews(MadeByWorker):
    """Crews for a branch's day as they were proposed last, for the dispatcher to accept.

    `posts` are objects of job, people (person, part, why), starts_at, ends_at, spare_min and
    one_less_min, by the time they begin; `unmanned` are keys of jobs for which nobody is left.
    """

    branch = models.ForeignKey("inventory.Branch", models.CASCADE, related_name="day_crews")
    day = models.DateField()
    posts: "models.JSONField[list[dict[str, Any]]]" = models.JSONField(default=list, blank=True)
    unmanned: "models.JSONField[list[str]]" = models.JSONField(default=list, blank=True)

    class Meta(MadeByWorker.Meta):
        constraints: ClassVar[tuple[models.BaseConstraint, ...]] = (
            *MadeByWorker.Meta.constraints,
            models.UniqueConstraint(fields=("branch", "day"), name="crews_once_for_each_day"),
        )

    def __str__(self) -> str:
        return f"{self.branch_id} {self.day}"
