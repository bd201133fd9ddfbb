"""Everything that is written to the inventory, one subject per file."""

from inventory.services.catalogue import catalogue_load
from inventory.services.imports import ImportOrder, inventory_import
from inventory.services.kinds import item_kind_confirm
from inventory.services.places import lane_create, vault_place
from inventory.services.releases import (
    hold_lift,
    hold_place,
    release_create,
    release_identity_check,
)
from inventory.services.tags import tag_replace

__all__ = [
    "ImportOrder",
    "catalogue_load",
    "hold_lift",
    "hold_place",
    "inventory_import",
    "item_kind_confirm",
    "lane_create",
    "release_create",
    "release_identity_check",
    "tag_replace",
    "vault_place",
]
