"""The published figures in tests/data/road, each file with its source inside."""

import json
from pathlib import Path
from typing import Any

DATA = Path(__file__).parents[2] / "data"

BRIDGE: dict[str, Any] = json.loads((DATA / "road" / "bridge_formula.json").read_text())
SECUREMENT: dict[str, Any] = json.loads((DATA / "road" / "securement.json").read_text())


def worked_truck(name: str) -> dict[str, Any]:
    """An example of the bridge formula's file."""
    return next(example for example in BRIDGE["examples"] if example["id"] == name)


def securement(name: str) -> dict[str, Any]:
    """An example of the securement file."""
    return next(example for example in SECUREMENT["examples"] if example["id"] == name)
