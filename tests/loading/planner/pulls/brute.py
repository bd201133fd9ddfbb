"""Fewest moves by breadth-first search over whole states: slow, plain, shares nothing."""

from collections.abc import Iterator

from loading.planner.pulls.stacks import Stacks

State = tuple[tuple[tuple[int, int], ...], ...]


def fewest_moves(stacks: Stacks, *, restricted: bool) -> int | None:
    """None when the vaults cannot be got out at all."""
    start: State = tuple(
        tuple(zip(r, s, strict=True)) for r, s in zip(stacks.ranks, stacks.slots, strict=True)
    )
    level, seen, moves = {_pulled(start, stacks.leaving)}, set(), 0
    while level:
        if any(_turn(state, stacks.leaving) == stacks.leaving for state in level):
            return moves
        seen |= level
        level = {
            _pulled(after, stacks.leaving)
            for state in level
            for after in _moved(state, stacks, restricted)
        } - seen
        moves += 1
    return None


def _turn(state: State, stays: int) -> int:
    return min((rank for lane in state for rank, _ in lane), default=stays)


def _pulled(state: State, stays: int) -> State:
    turn = _turn(state, stays)
    for i, lane in enumerate(state):
        if turn < stays and lane and lane[-1][0] == turn:
            return _pulled((*state[:i], lane[:-1], *state[i + 1 :]), stays)
    return state


def _moved(state: State, stacks: Stacks, restricted: bool) -> Iterator[State]:
    turn = _turn(state, stacks.leaving)
    for source, lane in enumerate(state):
        if not lane or (restricted and all(rank != turn for rank, _ in lane)):
            continue
        for target, other in enumerate(state):
            slot = other[-1][1] + 1 if other else 1
            if target != source and slot <= stacks.heights[target]:
                lanes = list(state)
                lanes[source], lanes[target] = lane[:-1], (*other, (lane[-1][0], slot))
                yield tuple(lanes)
