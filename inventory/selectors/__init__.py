"""Everything that is read from the inventory, one subject per file."""

from inventory.selectors.branches import branch_visible
from inventory.selectors.cautions import CautionedPiece, item_cautions, shipment_cautions
from inventory.selectors.condition import (
    conditions_by_label,
    item_conditions,
    item_photos,
    photo_open,
    photo_visible,
    subject_photos,
)
from inventory.selectors.high_value import high_value_labels, item_is_high_value
from inventory.selectors.kinds import kind_list, kind_names
from inventory.selectors.papers import paper_is_as_signed, papers_lost, signed_papers
from inventory.selectors.releases import shipment_is_held, standing_holds
from inventory.selectors.request_parts import item_labels, request_parts
from inventory.selectors.search import goods_search
from inventory.selectors.shipment_pieces import PieceLine, pieces_cautions, shipment_pieces
from inventory.selectors.stored import (
    arrival_list,
    hold_list,
    import_list,
    item_list,
    lane_list,
    release_list,
    shipment_list,
    vault_list,
    vaults_to_stow,
)
from inventory.selectors.tags import item_by_tag

__all__ = [
    "CautionedPiece",
    "PieceLine",
    "arrival_list",
    "branch_visible",
    "conditions_by_label",
    "goods_search",
    "high_value_labels",
    "hold_list",
    "import_list",
    "item_by_tag",
    "item_cautions",
    "item_conditions",
    "item_is_high_value",
    "item_labels",
    "item_list",
    "item_photos",
    "kind_list",
    "kind_names",
    "lane_list",
    "paper_is_as_signed",
    "papers_lost",
    "photo_open",
    "photo_visible",
    "pieces_cautions",
    "release_list",
    "request_parts",
    "shipment_cautions",
    "shipment_is_held",
    "shipment_list",
    "shipment_pieces",
    "signed_papers",
    "standing_holds",
    "subject_photos",
    "vault_list",
    "vaults_to_stow",
]
