"""The load request: what is in storage, the truck and the dock (form `load-request/1`)."""

from loading.planner.plan import Size
from loading.planner.request.data import (
    Blocked,
    Dock,
    Item,
    Lane,
    LoadRequest,
    Opening,
    OtherVault,
    Progress,
    Support,
    Truck,
    Vault,
)
from loading.planner.request.document import request_document
from loading.planner.request.parse import parse_request

__all__ = [
    "Blocked",
    "Dock",
    "Item",
    "Lane",
    "LoadRequest",
    "Opening",
    "OtherVault",
    "Progress",
    "Size",
    "Support",
    "Truck",
    "Vault",
    "parse_request",
    "request_document",
]
