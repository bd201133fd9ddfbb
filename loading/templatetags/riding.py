"""Marks in the papers for pieces that may not ride, or only with care."""

from django import template

from inventory.may_not_ride import RidingCaution, riding_cautions

register = template.Library()


@register.filter
def cautions(name: str, distance_km: float | None = None) -> tuple[RidingCaution, ...]:
    """What speaks against loading a piece of this name for a trip of this length."""
    return riding_cautions(name, distance_km=distance_km)
