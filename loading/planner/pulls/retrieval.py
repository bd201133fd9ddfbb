"""Getting vaults out of their lanes in a given order with few moves.

First a rule that looks one move ahead; when it does no better than the bound (every vault that
stands in the way moves once) it is optimal. Otherwise a beam search looks for fewer moves.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from loading.planner.plan import Step
from loading.planner.pulls.errors import YardBlocked, YardError
from loading.planner.pulls.stacks import Stacks, stacks_of
from loading.planner.pulls.yard import Yard

MoveStep: TypeAlias = tuple[Literal["move"], str, str]
PullStep: TypeAlias = tuple[Literal["pull"], str]
Shift: TypeAlias = tuple[int, int]  # (from lane, to lane); -1: out of the yard

OUT = -1
BEAM_WIDTH = 24


@dataclass(frozen=True, slots=True)
class Retrieval:
    """What the forklift does, in order; `moves` counts the vaults set aside."""

    steps: tuple[MoveStep | PullStep, ...]
    moves: int
    proved: bool

    @property
    def order(self) -> tuple[str, ...]:
        return tuple(step[1] for step in self.steps if step[0] == "pull")


def retrieve(yard: Yard, order: Sequence[str]) -> Retrieval:
    """Pull the named vaults in this order. Raises YardBlocked, or YardError for a bad order."""
    _require_pullable(yard, order)
    stacks = stacks_of(yard, order)
    shifts = _by_rule(stacks)
    bound = stacks.blocking()
    if shifts is None or _moves(shifts) > bound:
        shifts = _by_beam(stacks, shifts)
    if shifts is None:
        raise _blocked(yard, stacks)
    moves = _moves(shifts)
    return Retrieval(_steps(yard, shifts), moves, moves == bound)


def retrieve_from(yard: Yard, done_steps: Iterable[Step], order: Sequence[str]) -> Retrieval:
    """As `retrieve`, after steps that were done; vaults that have left since are skipped."""
    now = yard.after(done_steps)
    standing = set(now.standing())
    return retrieve(now, [code for code in order if code in standing])


def _require_pullable(yard: Yard, order: Sequence[str]) -> None:
    standing = set(yard.standing())
    for code in order:
        if code not in standing:
            raise YardError(f"vault {code} is not of this shipment or stands in no lane")
    if len(set(order)) != len(order):
        raise YardError("a vault is named twice in the pull order")


def _moves(shifts: Sequence[Shift]) -> int:
    return sum(1 for _, target in shifts if target != OUT)


def _best_lane(stacks: Stacks, source: int) -> int | None:
    """Where the top of a lane stands in the way least: the min-max rule."""
    rank = stacks.ranks[source][-1]
    best: tuple[tuple[int, int, int], int] | None = None
    for lane in range(len(stacks.heights)):
        free = stacks.free(lane)
        if lane == source or not free:
            continue
        low = stacks.low(lane)
        empty = 0 if stacks.ranks[lane] else 1
        key = (low, empty, free) if low >= rank else (2 * stacks.leaving + 1 - low, empty, -free)
        if best is None or key < best[0]:
            best = (key, lane)
    return None if best is None else best[1]


def _next_pulls(stacks: Stacks, rank: int) -> tuple[Stacks, int, tuple[Shift, ...]]:
    """Pull whatever is next and can be reached."""
    shifts: list[Shift] = []
    while rank < stacks.leaving:
        lane = stacks.lane_of(rank)
        if stacks.ranks[lane][-1] != rank:
            break
        stacks, rank = stacks.pulled(lane), rank + 1
        shifts.append((lane, OUT))
    return stacks, rank, tuple(shifts)


def _by_rule(stacks: Stacks) -> list[Shift] | None:
    shifts: list[Shift] = []
    rank = 0
    while True:
        stacks, rank, pulls = _next_pulls(stacks, rank)
        shifts += pulls
        if rank == stacks.leaving:
            return shifts
        source = stacks.lane_of(rank)
        target = _best_lane(stacks, source)
        if target is None:
            return None
        stacks = stacks.moved(source, target)
        shifts.append((source, target))


@dataclass(frozen=True, slots=True)
class _Node:
    stacks: Stacks
    rank: int
    shifts: tuple[Shift, ...]
    bound: int


def _by_beam(start: Stacks, best: list[Shift] | None) -> list[Shift] | None:
    """The best of a beam over single moves, never worse than `best`."""
    stacks, rank, pulls = _next_pulls(start, 0)
    beam = [_Node(stacks, rank, pulls, 0)]
    limit = _moves(best) if best is not None else 4 * sum(map(len, start.ranks)) + 4
    for depth in range(1, limit):
        heirs = _heirs(beam)
        done = next((node for node in heirs if node.rank == start.leaving), None)
        if done is not None:
            return list(done.shifts)
        beam = [node for node in heirs if depth + node.bound < limit][:BEAM_WIDTH]
        if not beam:
            break
    return best


def _heirs(beam: Sequence[_Node]) -> list[_Node]:
    """Every state one move further on, without doubles, the most hopeful first."""
    found: dict[tuple[tuple[tuple[int, ...], tuple[int, ...], int], ...], _Node] = {}
    for node in beam:
        source = node.stacks.lane_of(node.rank)
        for target in range(len(node.stacks.heights)):
            if target == source or not node.stacks.free(target):
                continue
            stacks, rank, pulls = _next_pulls(node.stacks.moved(source, target), node.rank)
            key = tuple(sorted(zip(stacks.ranks, stacks.slots, stacks.heights, strict=True)))
            if key not in found:
                shifts = (*node.shifts, (source, target), *pulls)
                found[key] = _Node(stacks, rank, shifts, stacks.blocking())
    return sorted(found.values(), key=lambda n: (n.bound, -n.rank, n.shifts))


def _steps(yard: Yard, shifts: Iterable[Shift]) -> tuple[MoveStep | PullStep, ...]:
    names = [lane.name for lane in yard.lanes]
    standing = [[v.code for v in lane.vaults] for lane in yard.lanes]
    steps: list[MoveStep | PullStep] = []
    for source, target in shifts:
        code = standing[source].pop()
        if target == OUT:
            steps.append(("pull", code))
        else:
            standing[target].append(code)
            steps.append(("move", code, names[target]))
    return tuple(steps)


def _blocked(yard: Yard, stacks: Stacks) -> YardBlocked:
    """Tell where the rule gets stuck: the vault, what stands in its way, what is free elsewhere."""
    shifts: list[Shift] = []
    rank = 0
    while True:
        stacks, rank, pulls = _next_pulls(stacks, rank)
        shifts += pulls
        source = stacks.lane_of(rank)
        target = _best_lane(stacks, source)
        if target is None:
            break
        stacks = stacks.moved(source, target)
        shifts.append((source, target))
    return _blocked_at(yard, shifts, source, stacks.ranks[source].index(rank), stacks)


def _blocked_at(
    yard: Yard, shifts: Iterable[Shift], source: int, place: int, stacks: Stacks
) -> YardBlocked:
    standing = [[v.code for v in lane.vaults] for lane in yard.lanes]
    for lane, target in shifts:
        code = standing[lane].pop()
        if target != OUT:
            standing[target].append(code)
    free = tuple((lane.name, stacks.free(i)) for i, lane in enumerate(yard.lanes) if i != source)
    codes = standing[source]
    return YardBlocked(
        codes[place], yard.lanes[source].name, tuple(reversed(codes[place + 1 :])), free
    )
