"""Events as a phone would report them."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

from jobs.folding.kinds import PART_FIELDS

HAPPENED = datetime(2026, 3, 4, 12, 1, tzinfo=UTC)


def report(kind: str, **payload: Any) -> dict[str, Any]:
    return {
        "uuid": str(uuid4()),
        "kind": kind,
        "version": 1,
        "happened_at": HAPPENED.isoformat(),
        "payload": payload,
    }


SAMPLES: dict[str, Any] = {
    "key": "a",
    "label": "",
    "note": "b",
    "count": 1,
    "number": 1,
    "place": 0,
    "maybe_place": None,
    "length": 500,
    "weight": 5_000,
    "flag": True,
    "posture": "standing",
    "reason": "meal",
    "keys": [],
    "uuid": "0a0b0c0d-0000-4000-8000-000000000001",
}
"""A sound value of each shape but "parts", which are made of the others."""


def sample_payload(fields: Mapping[str, str]) -> dict[str, Any]:
    part = {name: SAMPLES[shape] for name, shape in PART_FIELDS.items()}
    samples = {**SAMPLES, "parts": [part, part]}
    return {name: samples[shape] for name, shape in fields.items()}


def report_done(task: Any) -> dict[str, Any]:
    """The event that finishes a task."""
    kinds = {
        "move": ("vault_moved", {"vault": task.vault, "lane": task.lane}),
        "pull": ("vault_pulled", {"vault": task.vault}),
        "clear": ("vault_cleared", {"vault": task.vault}),
        "unpack": ("piece_unpacked", {"tag": task.tag}),
        "fetch": ("piece_fetched", {"tag": task.tag}),
        "wrap": ("piece_wrapped", {"tag": task.tag}),
        "carry": ("piece_carried", {"tag": task.tag}),
        "load": ("piece_loaded", {"tag": task.tag}),
        "fill": ("fill_placed", {"fill": task.fill, "pads": 1}),
        "close": ("tier_closed", {"tier": task.tier}),
    }
    kind, payload = kinds[task.kind]
    return report(kind, **payload)
