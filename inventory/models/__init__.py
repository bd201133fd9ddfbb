"""The tables of the inventory, one subject per file."""

from inventory.models.arrivals import VaultArrival
from inventory.models.condition import ConditionNote, Moment, Photo
from inventory.models.goods import (
    LEVELS,
    POSTURES,
    Item,
    ItemKind,
    ItemTag,
    MeasureSource,
)
from inventory.models.imports import ImportBatch
from inventory.models.papers import Paper, Sheet, SignedPaper
from inventory.models.people import Branch, Device, Role, User
from inventory.models.releases import Hold, Release
from inventory.models.storage import DOCK_FLOOR, Lane, LoosePlace, Shipment, Upkeep, Vault

__all__ = [
    "DOCK_FLOOR",
    "LEVELS",
    "POSTURES",
    "Branch",
    "ConditionNote",
    "Device",
    "Hold",
    "ImportBatch",
    "Item",
    "ItemKind",
    "ItemTag",
    "Lane",
    "LoosePlace",
    "MeasureSource",
    "Moment",
    "Paper",
    "Photo",
    "Release",
    "Role",
    "Sheet",
    "Shipment",
    "SignedPaper",
    "Upkeep",
    "User",
    "Vault",
    "VaultArrival",
]
