"""Other customers' vaults go back to the lanes they came from, where the warehouse wants that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from loading.planner.plan import Step
from loading.planner.pulls.retrieval import MoveStep, Retrieval
from loading.planner.pulls.yard import Yard


def put_back(yard: Yard, plan: Retrieval) -> Retrieval:
    """The plan with every vault set aside for it returned to its lane after the last pull.

    The moves are undone in reverse, so each vault stands in front when it is its turn, and its lane
    has room: nothing has come into it since. `moves` counts the returns too; the bound is then that
    every vault of others that stands in the way moves twice at least.
    """
    done = [Step(s[0], s[1], s[2] if s[0] == "move" else None) for s in plan.steps]
    back: list[MoveStep] = [
        ("move", step.vault or "", step.lane or "") for step in steps_back(yard, done)
    ]
    return replace(
        plan,
        steps=(*plan.steps, *back),
        moves=plan.moves + len(back),
        bound=max(plan.bound, 2 * _in_the_way(yard, set(plan.order))),
    )


def steps_back(yard: Yard, steps: Sequence[Step]) -> tuple[Step, ...]:
    """The moves that return what these steps have set aside and not pulled, the last one first.

    Where a vault was stored since in its way or its place, it stays.
    """
    came_from: list[tuple[str, str]] = []
    for step in steps:
        lane = yard.lane_of(step.vault) if step.do == "move" and step.vault is not None else None
        if came_from and came_from[-1] == (step.vault, step.lane):
            came_from.pop()  # it has gone back already
        elif lane is not None and step.vault is not None:
            came_from.append((step.vault, lane.name))
        yard = yard.after((step,))
    back: list[Step] = []
    for code, name in reversed(came_from):
        stands, home = yard.lane_of(code), yard.lane(name)
        if stands is None or stands.vaults[-1].code != code or home is None or not home.free:
            continue
        back.append(Step("move", vault=code, lane=name))
        yard = yard.after(back[-1:])
    return tuple(back)


def _in_the_way(yard: Yard, pulled: set[str]) -> int:
    """How many vaults stay and stand before one that is pulled."""
    count = 0
    for lane in yard.lanes:
        deepest = min((i for i, v in enumerate(lane.vaults) if v.code in pulled), default=None)
        if deepest is not None:
            count += sum(vault.code not in pulled for vault in lane.vaults[deepest:])
    return count
