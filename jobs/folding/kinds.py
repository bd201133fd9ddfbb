"""The events there are, and what each of them says."""

from collections.abc import Mapping
from enum import StrEnum
from typing import Final, Literal


class EventKind(StrEnum):
    VAULT_MOVED = "vault_moved"
    VAULT_PULLED = "vault_pulled"
    VAULT_STORED = "vault_stored"
    VAULT_NOT_FOUND = "vault_not_found"
    VAULT_CLEARED = "vault_cleared"
    PIECE_UNPACKED = "piece_unpacked"
    PIECE_FETCHED = "piece_fetched"
    PIECE_WRAPPED = "piece_wrapped"
    PIECE_CARRIED = "piece_carried"
    PIECE_LOADED = "piece_loaded"
    PIECE_RETURNED = "piece_returned"
    PIECE_TAKEN_OUT = "piece_taken_out"
    PIECE_MISSING = "piece_missing"
    PIECE_DOES_NOT_FIT = "piece_does_not_fit"
    FILL_PLACED = "fill_placed"
    TIER_CLOSED = "tier_closed"
    EXCEPTION_NOTED = "exception_noted"
    HELPER_ON = "helper_on"
    HELPER_OFF = "helper_off"
    TASK_BEGUN = "task_begun"
    UNDONE = "undone"


Shape = Literal["key", "note", "count", "number", "uuid"]
"""key: 1-80 signs; note: up to 300 signs; count: 0-999; number: 0 or more; uuid: a UUID."""

FIELDS: Final[Mapping[EventKind, Mapping[str, Shape]]] = {
    EventKind.VAULT_MOVED: {"vault": "key", "lane": "key"},
    EventKind.VAULT_PULLED: {"vault": "key"},
    EventKind.VAULT_STORED: {"vault": "key", "lane": "key"},
    EventKind.VAULT_NOT_FOUND: {"vault": "key"},
    EventKind.VAULT_CLEARED: {"vault": "key"},
    EventKind.PIECE_UNPACKED: {
        "tag": "key",
        "storage_pads_off": "count",
        "moving_pads_on": "count",
    },
    EventKind.PIECE_FETCHED: {"tag": "key", "moving_pads_on": "count"},
    EventKind.PIECE_WRAPPED: {"tag": "key", "moving_pads_on": "count"},
    EventKind.PIECE_CARRIED: {"tag": "key"},
    EventKind.PIECE_LOADED: {"tag": "key"},
    EventKind.PIECE_RETURNED: {"tag": "key"},
    EventKind.PIECE_TAKEN_OUT: {"tag": "key"},
    EventKind.PIECE_MISSING: {"tag": "key"},
    EventKind.PIECE_DOES_NOT_FIT: {"tag": "key", "note": "note"},
    EventKind.FILL_PLACED: {"fill": "number", "pads": "count"},
    EventKind.TIER_CLOSED: {"tier": "number"},
    EventKind.EXCEPTION_NOTED: {"tag": "key", "note": "note"},
    EventKind.HELPER_ON: {"member": "number"},
    EventKind.HELPER_OFF: {"member": "number"},
    EventKind.TASK_BEGUN: {"task": "key"},
    EventKind.UNDONE: {"event": "uuid"},
}
"""What each kind says. Counts may be left out (0), and so may notes (none)."""

VERSION: Final = 1

WAREHOUSE_KINDS: Final = frozenset(
    {
        EventKind.VAULT_MOVED,
        EventKind.VAULT_PULLED,
        EventKind.VAULT_STORED,
        EventKind.VAULT_NOT_FOUND,
        EventKind.VAULT_CLEARED,
    }
)
"""Events that concern the warehouse's stream too."""

DAY_KINDS: Final = frozenset({EventKind.HELPER_ON, EventKind.HELPER_OFF})
"""Events that concern the branch's day too."""
