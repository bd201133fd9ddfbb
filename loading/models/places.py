"""Where goods stand while they are loaded: the truck and the dock."""

from typing import Any

from django.db import models
from django.db.models import F, Func, Q
from django.db.models.lookups import Exact


def _json_is_array(column: str) -> Exact:
    kind = Func(F(column), function="jsonb_typeof", output_field=models.TextField())
    return Exact(kind, models.Value("array"))


def _json_count_is(column: str, count: int) -> Exact:
    length = Func(F(column), function="jsonb_array_length", output_field=models.IntegerField())
    return Exact(length, models.Value(count))


class Truck(models.Model):
    """A truck's box. `blocked` and `supports` are in the form of the planning contract.

    `axles` (x_mm, tare_kg, support, percent, limit_kg or null of each, in the same frame) may be
    left empty: the bridge formula is then not judged. So may `straps` (part, limit_kg or null of
    each part of a strap on board): they then count as unmarked ones.
    """

    class Ride(models.TextChoices):
        SPRING = "spring"
        AIR = "air"

    branch = models.ForeignKey("inventory.Branch", models.PROTECT, related_name="trucks")
    name = models.CharField(max_length=60)
    interior_length_mm = models.PositiveIntegerField()
    interior_width_mm = models.PositiveIntegerField()
    interior_height_mm = models.PositiveIntegerField()
    door_width_mm = models.PositiveIntegerField()
    door_height_mm = models.PositiveIntegerField()
    payload_g = models.PositiveIntegerField()
    ride = models.CharField(max_length=10, choices=Ride.choices)
    blocked: "models.JSONField[list[dict[str, Any]]]" = models.JSONField(default=list, blank=True)
    supports: "models.JSONField[list[dict[str, Any]]]" = models.JSONField()
    pads = models.PositiveIntegerField(null=True, blank=True)
    axles: "models.JSONField[list[dict[str, Any]]]" = models.JSONField(default=list, blank=True)
    straps: "models.JSONField[list[dict[str, Any]]]" = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["branch_id", "name"]
        constraints = [
            models.UniqueConstraint(fields=["branch", "name"], name="truck_name_once_per_branch"),
            models.CheckConstraint(condition=~Q(name=""), name="truck_has_name"),
            models.CheckConstraint(
                condition=Q(
                    interior_length_mm__gt=0,
                    interior_width_mm__gt=0,
                    interior_height_mm__gt=0,
                    payload_g__gt=0,
                ),
                name="truck_has_room",
            ),
            models.CheckConstraint(
                condition=Q(
                    door_width_mm__gt=0,
                    door_height_mm__gt=0,
                    door_width_mm__lte=F("interior_width_mm"),
                    door_height_mm__lte=F("interior_height_mm"),
                ),
                name="truck_door_within_box",
            ),
            models.CheckConstraint(
                condition=Q(ride__in=["spring", "air"]), name="truck_ride_is_known"
            ),
            models.CheckConstraint(
                condition=_json_is_array("blocked"), name="truck_blocked_is_list"
            ),
            models.CheckConstraint(condition=_json_is_array("axles"), name="truck_axles_is_list"),
            models.CheckConstraint(condition=_json_is_array("straps"), name="truck_straps_is_list"),
            models.CheckConstraint(
                condition=_json_count_is("supports", 2), name="truck_has_two_supports"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def interior_mm(self) -> tuple[int, int, int]:
        return self.interior_length_mm, self.interior_width_mm, self.interior_height_mm


class Dock(models.Model):
    """Where vaults stand open beside the truck, and the floor for what is out of them."""

    branch = models.ForeignKey("inventory.Branch", models.PROTECT, related_name="docks")
    name = models.CharField(max_length=60)
    vault_spots = models.PositiveSmallIntegerField()
    floor_mm2 = models.PositiveBigIntegerField()

    class Meta:
        ordering = ["branch_id", "name"]
        constraints = [
            models.UniqueConstraint(fields=["branch", "name"], name="dock_name_once_per_branch"),
            models.CheckConstraint(condition=~Q(name=""), name="dock_has_name"),
            models.CheckConstraint(
                condition=Q(vault_spots__gt=0, floor_mm2__gt=0), name="dock_has_room"
            ),
        ]

    def __str__(self) -> str:
        return self.name
