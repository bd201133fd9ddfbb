"""Stored packings of published instances, judged by painting them cell by cell.

The checker compares boxes pair by pair; painting shares nothing with it, so that the two can be
held against each other: on packings that keep every rule, and on the same with one box moved.
"""

import gzip
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from loading.planner.packing.checker import broken_rules
from loading.planner.packing.command import read_instances
from loading.planner.packing.problem import Instance

DATA = Path(__file__).parents[3] / "data" / "packing"
EXPECTED = json.loads((DATA / "expected.json").read_text())
Rows = list[list[int]]

with gzip.open(DATA / "placements.jsonl.gz", "rt", encoding="utf-8") as lines:
    STORED: list[dict[str, Any]] = [json.loads(line) for line in lines]


def instance_of(stored: dict[str, Any]) -> Instance:
    (found,) = (
        instance
        for instance in read_instances(DATA / f"{stored['set']}.jsonl.gz")
        if instance.number == stored["instance"]
    )
    return found


def painted_faults(instance: Instance, rows: Rows, *, full_support: bool) -> set[str]:
    """Which kinds of rule the boxes break, seen in a grid of unit cells."""
    cells = np.zeros(instance.container, np.uint8)
    left = [box.count for box in instance.boxes]
    faults = set()
    for kind, x, y, z, dx, dy, dz in rows:
        cells[x : x + dx, y : y + dy, z : z + dz] += 1
        left[kind] -= 1
        upright = [
            instance.boxes[kind].size[k]
            for k in range(3)
            if instance.boxes[kind].upright[k] and instance.boxes[kind].size[k] == dz
        ]
        if not upright or sorted((dx, dy, dz)) != sorted(instance.boxes[kind].size):
            faults.add("orientation")
    if cells.max() > 1:
        faults.add("overlap")
    if int(cells.sum()) != sum(dx * dy * dz for *_, dx, dy, dz in rows):
        faults.add("outside")
    if min(left) < 0:
        faults.add("too many")
    for _, x, y, z, dx, dy, _ in rows:
        if full_support and z > 0 and not cells[x : x + dx, y : y + dy, z - 1].all():
            faults.add("support")
    return faults


@pytest.mark.parametrize(
    "stored", STORED, ids=lambda s: f"{s['set']}-{s['instance']}-{s['support']}"
)
def test_stored_packings_keep_every_rule(stored: dict[str, Any]) -> None:
    instance, rows = instance_of(stored), stored["placements"]
    full_support = stored["support"] == "full"
    assert painted_faults(instance, rows, full_support=full_support) == set()
    assert broken_rules(instance, rows, full_support=full_support) == []
    share = sum(dx * dy * dz for *_, dx, dy, dz in rows) / instance.volume
    name = f"{stored['set']}/{stored['instance']}"
    assert int(share * 10_000) == EXPECTED[stored["support"]][name]


def test_without_a_support_rule_boxes_do_hang() -> None:
    """Else the packings above would say nothing of what the rule costs."""
    stored = next(s for s in STORED if s["support"] == "none" and s["set"] == "BR15")
    assert painted_faults(instance_of(stored), stored["placements"], full_support=True) == {
        "support"
    }
    assert broken_rules(instance_of(stored), stored["placements"], full_support=True)


@pytest.mark.parametrize("axis", [1, 2, 3])
@pytest.mark.parametrize("step", [-1, 1])
def test_a_box_moved_by_one_unit_is_judged_alike_by_both(axis: int, step: int) -> None:
    stored = next(s for s in STORED if s["support"] == "full" and s["set"] == "BR5")
    instance = instance_of(stored)
    judged = []
    for index in range(0, len(stored["placements"]), 5):
        rows = [list(row) for row in stored["placements"]]
        rows[index][axis] += step
        inside = 0 <= rows[index][axis] <= instance.container[axis - 1] - rows[index][axis + 3]
        seen = bool(painted_faults(instance, rows, full_support=True)) if inside else True
        assert bool(broken_rules(instance, rows, full_support=True)) == seen
        judged.append(seen)
    assert any(judged)
