"""Marks in the papers for pieces that may not ride, or only with care."""

from django import template

from inventory.may_not_ride import RidingCaution, riding_cautions

register = template.Library()


@register.filter
def cautions(name: str) -> tuple[RidingCaution, ...]:
    """What speaks against loading a piece of this name."""
    return riding_cautions(name)
