"""The record of an imported inventory list: the same file never goes in twice."""

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inventory.models.people import Branch, User
from inventory.models.storage import Shipment


class ImportBatch(models.Model):
    """One file that was imported whole.

    `guesses` is a list of `{"row", "tag", "name", "kind", "score"}`, one for each line whose
    kind was guessed from its words.
    """

    class Form(models.TextChoices):
        CSV = "csv", _("inventory list (CSV)")
        JSON = "json", _("load request (JSON)")

    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="imports")
    sha256 = models.CharField(max_length=64)
    form = models.CharField(max_length=4, choices=Form.choices)
    filename = models.CharField(max_length=200, blank=True)
    imported_at = models.DateTimeField(default=timezone.now)
    imported_by = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    shipment = models.ForeignKey(Shipment, on_delete=models.PROTECT, related_name="imports")
    lines = models.PositiveIntegerField()
    guesses = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ("-imported_at",)
        constraints = (
            models.UniqueConstraint(
                fields=("branch", "sha256"), name="import_file_once_per_branch"
            ),
            models.CheckConstraint(condition=Q(form__in=("csv", "json")), name="import_form_known"),
            models.CheckConstraint(
                condition=Q(sha256__regex=r"^[0-9a-f]{64}$"), name="import_sha256_is_hex"
            ),
        )

    def __str__(self) -> str:
        return f"{self.filename} ({self.shipment_id})"
