"""Other customers' vaults go back to the lanes they came from, where the warehouse wants that."""

from __future__ import annotations

from dataclasses import replace

from loading.planner.pulls.retrieval import MoveStep, Retrieval
from loading.planner.pulls.yard import Yard


def put_back(yard: Yard, plan: Retrieval) -> Retrieval:
    """The plan with every vault set aside for it returned to its lane after the last pull.

    The moves are undone in reverse, so each vault stands in front when it is its turn, and its lane
    has room: nothing has come into it since. `moves` counts the returns too; the bound is then that
    every vault of others that stands in the way moves twice at least.
    """
    lane_of = {v.code: lane.name for lane in yard.lanes for v in lane.vaults}
    came_from: list[tuple[str, str]] = []
    for step in plan.steps:
        if step[0] == "move":
            came_from.append((step[1], lane_of[step[1]]))
            lane_of[step[1]] = step[2]
    pulled = set(plan.order)
    back: list[MoveStep] = [
        ("move", code, lane) for code, lane in reversed(came_from) if code not in pulled
    ]
    return replace(
        plan,
        steps=(*plan.steps, *back),
        moves=plan.moves + len(back),
        bound=max(plan.bound, 2 * _in_the_way(yard, pulled)),
    )


def _in_the_way(yard: Yard, pulled: set[str]) -> int:
    """How many vaults stay and stand before one that is pulled."""
    count = 0
    for lane in yard.lanes:
        deepest = min((i for i, v in enumerate(lane.vaults) if v.code in pulled), default=None)
        if deepest is not None:
            count += sum(vault.code not in pulled for vault in lane.vaults[deepest:])
    return count
