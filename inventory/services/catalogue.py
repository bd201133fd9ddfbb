"""Filling in and refreshing the catalogue of kinds."""

from django.db import transaction

from inventory.catalogue import catalogue_kinds
from inventory.models import ItemKind


@transaction.atomic
def catalogue_load(*, overwrite: bool = False) -> int:
    """Add the product's kinds that are missing; give how many were added or changed.

    A company's own values stay, unless `overwrite` asks for ours.
    """
    kinds = catalogue_kinds()
    if not overwrite:
        codes = set(ItemKind.objects.values_list("code", flat=True))
        kinds = tuple(kind for kind in kinds if kind["code"] not in codes)
    for kind in kinds:
        ItemKind.objects.update_or_create(code=kind["code"], defaults=kind)
    return len(kinds)
