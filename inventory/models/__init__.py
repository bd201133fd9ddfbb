"""The tables of the inventory, one subject per file."""

from inventory.models.goods import (
    LEVELS,
    POSTURES,
    Item,
    ItemKind,
    ItemTag,
    MeasureSource,
)
from inventory.models.imports import ImportBatch
from inventory.models.people import Branch, Device, Role, User
from inventory.models.releases import Hold, Release
from inventory.models.storage import Lane, LoosePlace, Shipment, Vault

__all__ = [
    "LEVELS",
    "POSTURES",
    "Branch",
    "Device",
    "Hold",
    "ImportBatch",
    "Item",
    "ItemKind",
    "ItemTag",
    "Lane",
    "LoosePlace",
    "MeasureSource",
    "Release",
    "Role",
    "Shipment",
    "User",
    "Vault",
]
