"""Events as a phone would report them."""

from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

HAPPENED = datetime(2026, 3, 4, 12, 1, tzinfo=UTC)


def report(kind: str, **payload: Any) -> dict[str, Any]:
    return {
        "uuid": str(uuid4()),
        "kind": kind,
        "version": 1,
        "happened_at": HAPPENED.isoformat(),
        "payload": payload,
    }


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
