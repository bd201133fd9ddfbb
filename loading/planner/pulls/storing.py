"""Into which lane a vault goes back, so that it bars nothing that is still to come."""

from __future__ import annotations

from collections.abc import Sequence

from loading.planner.plan import Step
from loading.planner.pulls.sharing import clashes
from loading.planner.pulls.yard import Yard, YardLane


def lane_to_store(
    yard: Yard, code: str, to_come: Sequence[Step], *, home: str | None = None
) -> str | None:
    """A lane with room in which the vault is in the way of none of the steps to come.

    `home`, the lane that it came from, is taken before others, then the emptiest. None if every
    lane with room would bar a step or take the room that one counts on. Steps that cannot be done
    anyway are nobody's fault.
    """
    before = set(clashes(yard, [("", to_come)]))
    for lane in sorted(yard.lanes, key=lambda lane: _rank(lane, home)):
        if not lane.free:
            continue
        after = yard.after((Step("store", vault=code, lane=lane.name),))
        if before.issuperset(clashes(after, [("", to_come)])):
            return lane.name
    return None


def _rank(lane: YardLane, home: str | None) -> tuple[bool, int, str]:
    return lane.name != home, -lane.free, lane.name
