"""Marks in the papers for pieces that may not ride, or only with care."""

from functools import lru_cache

from django import template

from inventory.may_not_ride import RidingCaution, riding_cautions

register = template.Library()


_of_name = lru_cache(maxsize=4_000)(riding_cautions)


@register.filter
def cautions(name: str) -> tuple[RidingCaution, ...]:
    """What speaks against loading a piece of this name."""
    return _of_name(name)
