"""Everything that is read from the inventory, one subject per file."""

from inventory.selectors.branches import branch_visible
from inventory.selectors.releases import shipment_is_held
from inventory.selectors.request_parts import request_parts
from inventory.selectors.tags import item_by_tag

__all__ = ["branch_visible", "item_by_tag", "request_parts", "shipment_is_held"]
