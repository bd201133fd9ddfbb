"""The events there are, and what each of them says."""

from collections.abc import Mapping
from enum import StrEnum
from typing import Final, Literal


class EventKind(StrEnum):
    VAULT_MOVED = "vault_moved"
    VAULT_PULLED = "vault_pulled"
    VAULT_STORED = "vault_stored"
    VAULT_STOWED = "vault_stowed"
    VAULT_NOT_COME = "vault_not_come"
    VAULT_NOT_FOUND = "vault_not_found"
    VAULT_BLOCKED = "vault_blocked"
    VAULT_DAMAGED = "vault_damaged"
    VAULT_CLEARED = "vault_cleared"
    SEAL_BROKEN = "seal_broken"
    PIECE_UNPACKED = "piece_unpacked"
    PIECE_FETCHED = "piece_fetched"
    PIECE_WRAPPED = "piece_wrapped"
    PADS_CHANGED = "pads_changed"
    PIECE_CARRIED = "piece_carried"
    PIECE_LOADED = "piece_loaded"
    PIECE_LOADED_ELSEWHERE = "piece_loaded_elsewhere"
    PIECE_RETURNED = "piece_returned"
    PIECE_TAKEN_OUT = "piece_taken_out"
    PIECE_WANTED = "piece_wanted"
    PIECE_MISSING = "piece_missing"
    PIECE_DOES_NOT_FIT = "piece_does_not_fit"
    PIECE_NOT_ON_LIST = "piece_not_on_list"
    SIZE_CORRECTED = "size_corrected"
    WEIGHT_CORRECTED = "weight_corrected"
    STOP_CHANGED = "stop_changed"
    EXCEPTION_NOTED = "exception_noted"
    PIECE_TAKEN_APART = "piece_taken_apart"
    HARDWARE_BOXED = "hardware_boxed"
    CARTON_PACKED = "carton_packed"
    CARTONS_JOINED = "cartons_joined"
    PIECE_TAKEN_BY_CUSTOMER = "piece_taken_by_customer"
    PIECE_LEFT = "piece_left"
    PIECE_RETAGGED = "piece_retagged"
    FILL_PLACED = "fill_placed"
    TIER_CLOSED = "tier_closed"
    HELPER_ON = "helper_on"
    HELPER_OFF = "helper_off"
    HELPER_BREAK = "helper_break"
    TASK_BEGUN = "task_begun"
    JOB_PAUSED = "job_paused"
    JOB_RESUMED = "job_resumed"
    TRUCK_CHANGED = "truck_changed"
    PLAN_PUBLISHED = "plan_published"
    DOORS_CLOSED = "doors_closed"
    DEPARTED = "departed"
    WAY_NOTED = "way_noted"
    HANDED_OVER = "handed_over"
    ARRIVED = "arrived"
    UNDONE = "undone"


Shape = Literal[
    "key",
    "label",
    "note",
    "count",
    "number",
    "place",
    "maybe_place",
    "length",
    "weight",
    "flag",
    "posture",
    "reason",
    "parts",
    "keys",
    "uuid",
]
"""key: 1-80 signs; label: up to 40 signs; note: up to 300 signs; count: 0-999; number: 0 or more;
place: 0-30,000 mm, maybe_place: that or null; length: 1-20,000 mm; weight: 1-10,000,000 g;
flag: true or false; posture and reason: one of POSTURES and REASONS; parts: 2-26 objects of
PART_FIELDS; keys: a list of keys; uuid: a UUID."""

POSTURES: Final = ("standing", "on_side", "on_end")
REASONS: Final = ("customer", "weather", "meal", "other")
PART_FIELDS: Final[Mapping[str, Shape]] = {
    "name": "key",
    "length_mm": "length",
    "width_mm": "length",
    "height_mm": "length",
    "weight_g": "weight",
}

_PIECE: Final[Mapping[str, Shape]] = {"tag": "key"}
_VAULT: Final[Mapping[str, Shape]] = {"vault": "key"}
_VAULT_TO_LANE: Final[Mapping[str, Shape]] = {"vault": "key", "lane": "key"}
_MEMBER: Final[Mapping[str, Shape]] = {"member": "number"}
_NEW_PIECE: Final[Mapping[str, Shape]] = {"tag": "key", **PART_FIELDS}

FIELDS: Final[Mapping[EventKind, Mapping[str, Shape]]] = {
    EventKind.VAULT_MOVED: _VAULT_TO_LANE,
    EventKind.VAULT_PULLED: _VAULT,
    EventKind.VAULT_STORED: _VAULT_TO_LANE,
    EventKind.VAULT_STOWED: _VAULT_TO_LANE,
    EventKind.VAULT_NOT_COME: _VAULT,
    EventKind.VAULT_NOT_FOUND: _VAULT,
    EventKind.VAULT_BLOCKED: {"vault": "key", "note": "note"},
    EventKind.VAULT_DAMAGED: {"vault": "key", "note": "note"},
    EventKind.VAULT_CLEARED: _VAULT,
    EventKind.SEAL_BROKEN: {"vault": "key", "seal": "label", "intact": "flag"},
    EventKind.PIECE_UNPACKED: {
        "tag": "key",
        "storage_pads_off": "count",
        "moving_pads_on": "count",
    },
    EventKind.PIECE_FETCHED: {"tag": "key", "moving_pads_on": "count"},
    EventKind.PIECE_WRAPPED: {"tag": "key", "moving_pads_on": "count"},
    EventKind.PADS_CHANGED: {
        "tag": "key",
        "storage_pads_off": "count",
        "moving_pads_on": "count",
        "moving_pads_off": "count",
    },
    EventKind.PIECE_CARRIED: _PIECE,
    EventKind.PIECE_LOADED: _PIECE,
    EventKind.PIECE_LOADED_ELSEWHERE: {
        "tag": "key",
        "tier": "number",
        "x_mm": "maybe_place",
        "y_mm": "place",
        "z_mm": "place",
        "posture": "posture",
    },
    EventKind.PIECE_RETURNED: _PIECE,
    EventKind.PIECE_TAKEN_OUT: _PIECE,
    EventKind.PIECE_WANTED: {"tag": "key", "tier": "number"},
    EventKind.PIECE_MISSING: _PIECE,
    EventKind.PIECE_DOES_NOT_FIT: {"tag": "key", "note": "note"},
    EventKind.PIECE_NOT_ON_LIST: _NEW_PIECE,
    EventKind.SIZE_CORRECTED: {
        "tag": "key",
        "length_mm": "length",
        "width_mm": "length",
        "height_mm": "length",
    },
    EventKind.WEIGHT_CORRECTED: {"tag": "key", "weight_g": "weight"},
    EventKind.STOP_CHANGED: {"tag": "key", "stop": "number"},
    EventKind.EXCEPTION_NOTED: {"tag": "key", "note": "note"},
    EventKind.PIECE_TAKEN_APART: {"tag": "key", "parts": "parts"},
    EventKind.HARDWARE_BOXED: {"tag": "key", "box": "key"},
    EventKind.CARTON_PACKED: _NEW_PIECE,
    EventKind.CARTONS_JOINED: {"tag": "key", "gone": "key"},
    EventKind.PIECE_TAKEN_BY_CUSTOMER: {"tag": "key", "note": "note"},
    EventKind.PIECE_LEFT: {"tag": "key", "note": "key"},
    EventKind.PIECE_RETAGGED: {"tag": "key", "number": "key"},
    EventKind.FILL_PLACED: {"fill": "number", "pads": "count"},
    EventKind.TIER_CLOSED: {"tier": "number"},
    EventKind.HELPER_ON: _MEMBER,
    EventKind.HELPER_OFF: _MEMBER,
    EventKind.HELPER_BREAK: _MEMBER,
    EventKind.TASK_BEGUN: {"task": "key"},
    EventKind.JOB_PAUSED: {"reason": "reason", "note": "note"},
    EventKind.JOB_RESUMED: {},
    EventKind.TRUCK_CHANGED: {"truck": "number"},
    EventKind.PLAN_PUBLISHED: {"version": "number", "tags": "keys"},
    EventKind.DOORS_CLOSED: {"seal": "key"},
    EventKind.DEPARTED: {},
    EventKind.WAY_NOTED: {"flights": "count", "carry_m": "count"},
    EventKind.HANDED_OVER: {"to": "key"},
    EventKind.ARRIVED: {"stop": "number"},
    EventKind.UNDONE: {"event": "uuid"},
}
"""What each kind says. Counts may be left out (0), and so may notes and labels (none), a place
that may be null, and a flag (true)."""

VERSION: Final = 1

OURS: Final = frozenset({EventKind.PLAN_PUBLISHED, EventKind.STOP_CHANGED})
"""Events that the software itself records; nobody can report them. Stops are told in storage."""

NEW_PIECES: Final = frozenset({EventKind.PIECE_NOT_ON_LIST, EventKind.CARTON_PACKED})
"""Events that bring a piece which no list had."""

WHOLE_FOLD: Final = frozenset({EventKind.UNDONE, EventKind.PIECE_RETAGGED})
"""Events that say something of events before and after them: they ask for a fresh fold."""

WAREHOUSE_KINDS: Final = frozenset(
    {
        EventKind.VAULT_MOVED,
        EventKind.VAULT_PULLED,
        EventKind.VAULT_STORED,
        EventKind.VAULT_STOWED,
        EventKind.VAULT_NOT_COME,
        EventKind.VAULT_NOT_FOUND,
        EventKind.VAULT_BLOCKED,
        EventKind.VAULT_DAMAGED,
        EventKind.VAULT_CLEARED,
        EventKind.SEAL_BROKEN,
    }
)
"""Events that concern the warehouse's stream too."""

FROM_OUTSIDE: Final = frozenset({EventKind.VAULT_STOWED, EventKind.VAULT_NOT_COME})
"""Events of vaults that are brought to the warehouse, of which no plan knows."""

DAY_KINDS: Final = frozenset(
    {EventKind.HELPER_ON, EventKind.HELPER_OFF, EventKind.HELPER_BREAK, EventKind.TRUCK_CHANGED}
)
"""Events that concern the branch's day too."""

REPLAN_KINDS: Final = frozenset(
    {
        EventKind.VAULT_NOT_FOUND,
        EventKind.VAULT_BLOCKED,
        EventKind.PIECE_MISSING,
        EventKind.PIECE_DOES_NOT_FIT,
        EventKind.PIECE_NOT_ON_LIST,
        EventKind.PIECE_LOADED_ELSEWHERE,
        EventKind.SIZE_CORRECTED,
        EventKind.WEIGHT_CORRECTED,
        EventKind.STOP_CHANGED,
        EventKind.PIECE_TAKEN_APART,
        EventKind.CARTON_PACKED,
        EventKind.CARTONS_JOINED,
        EventKind.PIECE_TAKEN_BY_CUSTOMER,
        EventKind.TRUCK_CHANGED,
    }
)
"""Events after which the rest of the load is planned anew."""

CHANGES_WORK: Final = REPLAN_KINDS | {
    EventKind.PIECE_WANTED,
    EventKind.HELPER_ON,
    EventKind.HELPER_OFF,
    EventKind.HELPER_BREAK,
    EventKind.JOB_RESUMED,
    EventKind.UNDONE,
}
"""Events after which other people or other tasks are there: the floor's schedule is made anew."""
