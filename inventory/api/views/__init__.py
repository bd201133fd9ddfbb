"""The views of the inventory's API, one subject per file."""

from inventory.api.views.arrivals import ArrivalViewSet
from inventory.api.views.goods import ItemViewSet, KindViewSet
from inventory.api.views.imports import ImportViewSet
from inventory.api.views.places import BranchViewSet, LaneViewSet, ShipmentViewSet, VaultViewSet
from inventory.api.views.releases import HoldViewSet, ReleaseViewSet

__all__ = [
    "ArrivalViewSet",
    "BranchViewSet",
    "HoldViewSet",
    "ImportViewSet",
    "ItemViewSet",
    "KindViewSet",
    "LaneViewSet",
    "ReleaseViewSet",
    "ShipmentViewSet",
    "VaultViewSet",
]
