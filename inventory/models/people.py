"""Branches of the company, the people who sign in, what they do there, and their devices."""

import uuid

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils.translation import gettext_lazy as _

#: The languages that every text exists in, each by its own name.
LANGUAGES = (("en", "English"), ("es", "Espa\u00f1ol"))


class Branch(models.Model):
    """A warehouse with its office and trucks. Everything stored or moved belongs to one."""

    code = models.CharField(_("code"), max_length=20, unique=True)
    name = models.CharField(_("name"), max_length=100)
    time_zone = models.CharField(_("time zone"), max_length=50, default="UTC")
    paper = models.CharField(
        _("paper"),
        max_length=10,
        choices=(("letter", _("letter")), ("a4", _("A4"))),
        default="letter",
    )
    shifted_go_back = models.BooleanField(
        _("shifted vaults go back"),
        default=False,
        help_text=_("Vaults set aside for a load return to their lanes when it has pulled."),
    )

    class Meta:
        verbose_name_plural = "branches"
        ordering = ("code",)
        constraints = (
            models.CheckConstraint(
                condition=models.Q(code__regex=r"^[A-Za-z0-9][A-Za-z0-9-]*$"),
                name="branch_code_is_plain",
            ),
            models.CheckConstraint(
                condition=models.Q(paper__in=("letter", "a4")), name="branch_paper_known"
            ),
        )

    def __str__(self) -> str:
        return self.code


class User(AbstractUser):
    """Somebody who signs in. Lengths and weights are shown in the person's own units."""

    class Units(models.TextChoices):
        IMPERIAL = "imperial", _("feet and pounds")
        METRIC = "metric", _("millimetres and kilograms")

    branch = models.ForeignKey(
        Branch, null=True, blank=True, on_delete=models.PROTECT, related_name="users"
    )
    units = models.CharField(
        _("units"), max_length=10, choices=Units.choices, default=Units.IMPERIAL
    )
    language = models.CharField(_("language"), max_length=10, choices=LANGUAGES, default="en")

    class Meta(AbstractUser.Meta):
        constraints = (
            models.CheckConstraint(
                condition=models.Q(units__in=("imperial", "metric")), name="user_units_known"
            ),
        )


class Role(models.Model):
    """What a person does at a branch; one person may do several things at several branches."""

    class Kind(models.TextChoices):
        LOADER = "loader", _("loader")
        WAREHOUSE = "warehouse", _("warehouse")
        HELPER = "helper", _("helper")
        DISPATCHER = "dispatcher", _("dispatcher")
        OFFICE = "office", _("office")

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="roles")
    branch = models.ForeignKey(Branch, on_delete=models.CASCADE, related_name="roles")
    kind = models.CharField(_("kind"), max_length=12, choices=Kind.choices)

    class Meta:
        ordering = ("user", "branch", "kind")
        constraints = (
            models.UniqueConstraint(fields=("user", "branch", "kind"), name="role_once"),
            models.CheckConstraint(
                condition=models.Q(
                    kind__in=("loader", "warehouse", "helper", "dispatcher", "office")
                ),
                name="role_kind_known",
            ),
        )

    def __str__(self) -> str:
        return f"{self.user_id} {self.kind} {self.branch_id}"


class Device(models.Model):
    """A phone or tablet that has been paired with a branch. Only a hash of its token is kept."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="devices")
    user = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="devices"
    )
    label = models.CharField(_("label"), max_length=60)
    token_hash = models.CharField(max_length=128, unique=True)
    paired_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    clock_offset_ms = models.BigIntegerField(
        default=0, help_text=_("device clock minus ours, as the device last reported it")
    )

    class Meta:
        ordering = ("branch", "label")
        constraints = (
            models.CheckConstraint(
                condition=models.Q(revoked_at__isnull=True)
                | models.Q(revoked_at__gte=models.F("paired_at")),
                name="device_revoked_after_paired",
            ),
        )

    def __str__(self) -> str:
        return self.label
