"""Pads and equipment by double entry: movements between places, and counts of a truck."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from loading.ledger import Equipment, PlaceKind
from loading.ledger.accounts import KEYED

EQUIPMENT = [(one.value, one.value) for one in Equipment]
PLACES = [(one.value, one.value) for one in PlaceKind]
_KEYED = sorted(kind.value for kind in KEYED)


def _key_where_needed(side: str) -> Q:
    is_keyed, key = Q(**{f"{side}_kind__in": _KEYED}), Q(**{f"{side}_key": ""})
    return is_keyed & ~key | ~is_keyed & key


class EquipmentMovement(models.Model):
    """So many of one kind from one place to another. Never edited nor deleted: a trigger says so.

    A place's key is a shipment's reference, a truck's name or a load's reference.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    branch = models.ForeignKey(
        "inventory.Branch", models.PROTECT, related_name="equipment_movements"
    )
    equipment = models.CharField(max_length=20, choices=EQUIPMENT)
    source_kind = models.CharField(max_length=12, choices=PLACES)
    source_key = models.CharField(max_length=60, blank=True)
    target_kind = models.CharField(max_length=12, choices=PLACES)
    target_key = models.CharField(max_length=60, blank=True)
    count = models.PositiveIntegerField()
    reason = models.CharField(max_length=200, blank=True)
    moved_at = models.DateTimeField()
    moved_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["moved_at", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(count__gt=0), name="movement_moves_something"),
            models.CheckConstraint(
                condition=~Q(source_kind=F("target_kind"), source_key=F("target_key")),
                name="movement_moves_somewhere",
            ),
            models.CheckConstraint(
                condition=Q(equipment__in=[one.value for one in Equipment]),
                name="movement_equipment_known",
            ),
            models.CheckConstraint(
                condition=Q(source_kind__in=[one.value for one in PlaceKind])
                & Q(target_kind__in=[one.value for one in PlaceKind]),
                name="movement_places_known",
            ),
            models.CheckConstraint(
                condition=_key_where_needed("source") & _key_where_needed("target"),
                name="movement_places_have_keys",
            ),
            models.CheckConstraint(
                condition=~Q(target_kind="lost") | ~Q(reason=""), name="movement_loss_has_reason"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.equipment}: {self.source_kind} to {self.target_kind}"


class EquipmentCount(models.Model):
    """What somebody counted in the truck of a load, of one kind; the latest count holds."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    load = models.ForeignKey("loading.Load", models.PROTECT, related_name="equipment_counts")
    equipment = models.CharField(max_length=20, choices=EQUIPMENT)
    count = models.PositiveIntegerField()
    counted_at = models.DateTimeField()
    counted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["counted_at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(equipment__in=[one.value for one in Equipment]),
                name="count_equipment_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.equipment} in {self.load_id}"
