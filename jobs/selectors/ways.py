"""How far the docks of a branch are from it, and so from each other."""

from collections.abc import Collection, Mapping
from itertools import combinations
from typing import Final

from inventory.models import Branch
from jobs.models import DockWay

HOME: Final = "branch"
"""Where people begin their day."""


def dock_place(dock_id: int) -> str:
    """How a dock is called among the places of a day."""
    return f"dock {dock_id}"


def ways_s(*, branch: Branch, docks: Collection[int]) -> Mapping[tuple[str, str], int]:
    """Seconds between the branch and its docks; from one dock to another the way leads by it."""
    told = DockWay.objects.filter(dock__in=docks, dock__branch=branch)
    minutes = dict(told.values_list("dock", "minutes"))
    ways = {(HOME, dock_place(dock)): 60 * minutes.get(dock, 0) for dock in docks}
    ways |= {
        (dock_place(one), dock_place(other)): 60 * (minutes.get(one, 0) + minutes.get(other, 0))
        for one, other in combinations(sorted(docks), 2)
    }
    return ways
