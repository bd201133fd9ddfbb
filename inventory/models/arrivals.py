"""Vaults that come from outside: expected at a time, then put into a lane."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from inventory.models.people import Branch
from inventory.models.storage import Vault


class VaultArrival(models.Model):
    """A vault that is brought to the warehouse; until it is stowed it stands in no lane."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    vault = models.ForeignKey(Vault, on_delete=models.PROTECT, related_name="arrivals")
    expected_at = models.DateTimeField(_("expected"))
    announced_at = models.DateTimeField(_("announced"))
    announced_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    stowed_at = models.DateTimeField(_("stowed"), null=True, blank=True)

    class Meta:
        ordering = ("expected_at", "vault__code")
        constraints = (
            models.UniqueConstraint(
                fields=("vault",), condition=Q(stowed_at=None), name="vault_expected_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.vault_id}: {self.expected_at}"

    @property
    def branch(self) -> Branch:
        return self.vault.branch
