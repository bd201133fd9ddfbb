"""Everything that is written to the inventory, one subject per file."""

from inventory.services.arrivals import (
    arrival_announce,
    arrival_call_off,
    arrival_put_off,
    arrival_stow,
    arrival_take_back,
)
from inventory.services.catalogue import catalogue_load
from inventory.services.condition import PhotoOf, condition_note, photo_store
from inventory.services.imports import (
    ImportOrder,
    ImportPreview,
    inventory_import,
    inventory_preview,
)
from inventory.services.kinds import item_kind_confirm
from inventory.services.leaving import (
    item_high_value_set,
    item_put,
    item_put_back,
    items_leave,
    items_stop_set,
    vault_upkeep_set,
)
from inventory.services.papers import (
    PaperSubject,
    Signature,
    paper_ask,
    paper_done,
    paper_sign,
    signature_read,
)
from inventory.services.people import preferences_set
from inventory.services.places import lane_create, vault_place, vault_stow
from inventory.services.releases import (
    hold_lift,
    hold_place,
    release_create,
    release_identity_check,
    release_split,
)
from inventory.services.tags import tag_replace

__all__ = [
    "ImportOrder",
    "ImportPreview",
    "PaperSubject",
    "PhotoOf",
    "Signature",
    "arrival_announce",
    "arrival_call_off",
    "arrival_put_off",
    "arrival_stow",
    "arrival_take_back",
    "catalogue_load",
    "condition_note",
    "hold_lift",
    "hold_place",
    "inventory_import",
    "inventory_preview",
    "item_high_value_set",
    "item_kind_confirm",
    "item_put",
    "item_put_back",
    "items_leave",
    "items_stop_set",
    "lane_create",
    "paper_ask",
    "paper_done",
    "paper_sign",
    "photo_store",
    "preferences_set",
    "release_create",
    "release_identity_check",
    "release_split",
    "signature_read",
    "tag_replace",
    "vault_place",
    "vault_stow",
    "vault_upkeep_set",
]
