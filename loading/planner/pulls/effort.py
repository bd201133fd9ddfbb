"""The second key of a retrieval, after its moves: how far the forklift carries, how high it lifts.

Lanes are taken to stand side by side in the order of the request, since it says nothing more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from loading.planner.pulls.errors import YardError
from loading.planner.pulls.retrieval import MoveStep, PullStep, Retrieval
from loading.planner.pulls.yard import Yard

TRIES = 400


@dataclass(frozen=True, slots=True, order=True)
class Effort:
    """Lanes passed with a vault set aside, then levels lifted over all moves and pulls."""

    travel: int
    lifts: int


def effort(yard: Yard, steps: Sequence[MoveStep | PullStep]) -> Effort:
    """Raises YardError when a step cannot be done."""
    found = _played(yard, steps)
    if found is None:
        raise YardError("a step names a vault that is not in front, or a lane that is full")
    return found


def nearer(yard: Yard, plan: Retrieval, *, tries: int = TRIES) -> Retrieval:
    """The same pulls with the same number of moves, but vaults are set aside nearer by.

    Sends one vault after another to another lane and keeps what lessens the effort, until nothing
    does or `tries` are used up.
    """
    steps, best = list(plan.steps), effort(yard, plan.steps)
    names = [lane.name for lane in yard.lanes]
    improved = True
    while improved:
        improved = False
        for i, step in enumerate(steps):
            if step[0] != "move":
                continue
            for name in names:
                if tries == 0:
                    return replace(plan, steps=tuple(steps))
                tries -= 1
                changed: list[MoveStep | PullStep] = [*steps]
                changed[i] = ("move", step[1], name)
                now = _played(yard, changed)
                if now is not None and now < best:
                    steps, best, improved = changed, now, True
    return replace(plan, steps=tuple(steps))


def _played(yard: Yard, steps: Sequence[MoveStep | PullStep]) -> Effort | None:
    """The effort of the steps, or None when one of them cannot be done."""
    place = {lane.name: i for i, lane in enumerate(yard.lanes)}
    standing = [list(lane.vaults) for lane in yard.lanes]
    lane_of = {v.code: i for i, lane in enumerate(yard.lanes) for v in lane.vaults}
    travel = lifts = 0
    for step in steps:
        source = lane_of.get(step[1])
        if source is None or standing[source][-1].code != step[1]:
            return None
        vault = standing[source].pop()
        lifts += yard.lanes[source].cell_of(vault.slot)[1] - 1
        del lane_of[step[1]]
        if step[0] == "pull":
            continue
        target = place.get(step[2])
        if target is None:
            return None
        lane = yard.lanes[target]
        slot = standing[target][-1].slot + 1 if standing[target] else 1
        if target == source or slot > lane.slots:
            return None
        standing[target].append(replace(vault, slot=slot))
        lane_of[step[1]] = target
        travel += abs(target - source)
        lifts += lane.cell_of(slot)[1] - 1
    return Effort(travel, lifts)
