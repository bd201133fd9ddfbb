"""Getting vaults out of their lanes with few moves, in a given order or in groups."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from loading.planner.plan import Step
from loading.planner.pulls.errors import YardBlocked, YardError
from loading.planner.pulls.search import moves_until_stuck, solve
from loading.planner.pulls.stacks import OUT, stacks_of, with_pulls
from loading.planner.pulls.yard import Yard, YardLane
from loading.planner.stopping import Iterations, Stop

MoveStep: TypeAlias = tuple[Literal["move"], str, str]
PullStep: TypeAlias = tuple[Literal["pull"], str]

FEW = Iterations(1_500)
AISLE_PLACES_TRIED = 6


@dataclass(frozen=True, slots=True)
class Retrieval:
    """What the forklift does, in order; `moves` counts the vaults set aside.

    No way needs fewer than `bound` moves; `proved` says that this one needs no more.
    """

    steps: tuple[MoveStep | PullStep, ...]
    moves: int
    bound: int

    @property
    def proved(self) -> bool:
        return self.moves == self.bound

    @property
    def order(self) -> tuple[str, ...]:
        return tuple(step[1] for step in self.steps if step[0] == "pull")


def retrieve(yard: Yard, order: Sequence[str], *, stop: Stop = FEW) -> Retrieval:
    """Pull the named vaults in this order. Raises YardBlocked, or YardError for a bad order."""
    return retrieve_groups(yard, [(code,) for code in order], stop=stop)


def retrieve_groups(yard: Yard, groups: Sequence[Sequence[str]], *, stop: Stop = FEW) -> Retrieval:
    """Pull the groups in turn, the vaults of one group in whatever order needs fewest moves."""
    _require_pullable(yard, [code for group in groups for code in group])
    stacks = stacks_of(yard, groups)
    found = solve(stacks, restricted=False, stop=stop)
    if found.moves is None:
        raise _blocked(yard, groups)
    steps = _steps(yard, with_pulls(stacks, found.moves))
    return Retrieval(steps, len(found.moves), min(found.bound, len(found.moves)))


def retrieve_from(
    yard: Yard, done_steps: Iterable[Step], order: Sequence[str], *, stop: Stop = FEW
) -> Retrieval:
    """As `retrieve`, after steps that were done; vaults that have left since are skipped."""
    now = yard.after(done_steps)
    standing = set(now.standing())
    return retrieve(now, [code for code in order if code in standing], stop=stop)


def _require_pullable(yard: Yard, order: Sequence[str]) -> None:
    standing = set(yard.standing())
    for code in order:
        if code not in standing:
            raise YardError(f"vault {code} is not of this shipment or stands in no lane")
    if len(set(order)) != len(order):
        raise YardError("a vault is named twice in the pull order")


def _steps(yard: Yard, shifts: Iterable[tuple[int, int]]) -> tuple[MoveStep | PullStep, ...]:
    standing = _codes(yard)
    steps: list[MoveStep | PullStep] = []
    for source, target in shifts:
        code = standing[source].pop()
        if target == OUT:
            steps.append(("pull", code))
        else:
            standing[target].append(code)
            steps.append(("move", code, yard.lanes[target].name))
    return tuple(steps)


def _codes(yard: Yard) -> list[list[str]]:
    return [[vault.code for vault in lane.vaults] for lane in yard.lanes]


def _blocked(yard: Yard, groups: Sequence[Sequence[str]]) -> YardBlocked:
    """Tell where the one-look rule gets stuck, and with which vault of those whose turn it is."""
    stacks = stacks_of(yard, groups)
    steps = _steps(yard, with_pulls(stacks, moves_until_stuck(stacks)))
    now = yard.after(Step(s[0], s[1], s[2] if s[0] == "move" else None) for s in steps)
    pulled = {step[1] for step in steps if step[0] == "pull"}
    waiting = next(left for group in groups if (left := [c for c in group if c not in pulled]))
    code, lane = min(
        ((c, ln) for c in waiting for ln in now.lanes for v in ln.vaults if v.code == c),
        key=lambda found: len(found[1].before(found[0])),
    )
    others = [other for other in now.lanes if other.name != lane.name]
    return YardBlocked(
        code,
        lane.name,
        lane.before(code),
        tuple((other.name, other.free) for other in others),
        tuple((other.name, other.slots - len(other.vaults) - other.free) for other in others),
        _aisle_places(yard, groups),
    )


def _aisle_places(yard: Yard, groups: Sequence[Sequence[str]]) -> int | None:
    """The fewest more places of one vault each with which the search gets everything out."""
    for more in range(1, AISLE_PLACES_TRIED + 1):
        places = tuple(YardLane(f"aisle place {n}", 1, 1, ()) for n in range(1, more + 1))
        wider = replace(yard, lanes=(*yard.lanes, *places))
        if solve(stacks_of(wider, groups), restricted=False, stop=FEW).moves is not None:
            return more
    return None
