"""The dock while the load is built: vaults are opened in order, emptied as the floor allows.

This is the widest reach that the rules of the dock allow; the steps that people get are made
afterwards from the loading order, as late as possible (see `steps`).
"""

from __future__ import annotations

from loading.planner.search.arrays import (
    FLOOR,
    GONE,
    IN_TRUCK,
    LEFT,
    NEXT_VAULT,
    ON_FLOOR,
    OPEN,
    OUT,
    STORED,
    Goods,
    Longs,
    State,
)
from loading.planner.search.kernel import bare


@bare
def kept_free(goods: Goods, state: State) -> int:
    """Floor (mm2) kept for the largest loose piece that is still to be fetched."""
    most = 0
    for i in range(len(goods.weight)):
        if goods.vault[i] < 0 and state.where[i] == STORED and goods.stays[i] == 0:
            if goods.area[i] <= goods.dock[1] and goods.area[i] > most:
                most = goods.area[i]
    return most


@bare
def refill(goods: Goods, state: State, pull_order: Longs) -> None:
    """Open vaults and unpack from them while spots and floor allow."""
    if len(goods.out) > 0:
        _bring_out(goods, state, pull_order)
        return
    room = goods.dock[1] - kept_free(goods, state)
    changed = True
    while changed:
        changed = False
        while state.tally[OPEN] < goods.dock[0] and state.tally[NEXT_VAULT] < len(pull_order):
            state.opened[pull_order[state.tally[NEXT_VAULT]]] = 1
            state.tally[NEXT_VAULT] += 1
            state.tally[OPEN] += 1
        for k in range(state.tally[NEXT_VAULT]):
            v = pull_order[k]
            if state.opened[v] == 1 and _empty(goods, state, v, room):
                changed = True


@bare
def _empty(goods: Goods, state: State, v: int, room: int) -> bool:
    """Unpack from vault v as far as the floor allows; True if it left its spot."""
    last = goods.inside[v + 1] - goods.inside[v]
    while state.taken[v] < last:
        i = goods.order[goods.inside[v] + state.taken[v]]
        limit = room if state.tally[FLOOR] > 0 else goods.dock[1]
        if state.tally[FLOOR] + goods.area[i] > limit:
            return False
        state.taken[v] += 1
        state.where[i] = ON_FLOOR
        state.tally[FLOOR] += goods.area[i]
    _leave(goods, state, v)
    return True


@bare
def _leave(goods: Goods, state: State, v: int) -> None:
    """Vault v leaves its spot, with what stays."""
    for k in range(goods.inside[v], goods.inside[v + 1]):
        i = goods.order[k]
        if goods.stays[i] == 1 and state.where[i] == ON_FLOOR:
            state.where[i] = STORED
            state.tally[FLOOR] -= goods.area[i]
    state.opened[v] = LEFT + state.tally[GONE]
    state.tally[GONE] += 1
    state.tally[OPEN] -= 1


@bare
def within_reach(goods: Goods, state: State, i: int) -> bool:
    """Whether a piece can be had now: on the floor, or loose and the floor has room for it."""
    if goods.stays[i] == 1 or state.where[i] == IN_TRUCK:
        return False
    if state.where[i] == ON_FLOOR:
        return True
    return goods.vault[i] < 0 and state.tally[FLOOR] + goods.area[i] <= goods.dock[1]


@bare
def _bring_out(goods: Goods, state: State, pull_order: Longs) -> None:
    """Have the pieces on the floor in the order of `goods.out`, as far as spots and floor allow.

    Where pieces are loaded in the order of the plan that brought them out like that, the floor is
    never in the way.
    """
    while state.tally[OUT] < len(goods.out):
        i = goods.out[state.tally[OUT]]
        if state.where[i] == STORED:
            if goods.vault[i] >= 0:
                if not _unpack_to(goods, state, pull_order, i):
                    return
            elif state.tally[FLOOR] + goods.area[i] > goods.dock[1]:
                return
            else:
                state.where[i] = ON_FLOOR
                state.tally[FLOOR] += goods.area[i]
        state.tally[OUT] += 1


@bare
def _unpack_to(goods: Goods, state: State, pull_order: Longs, i: int) -> bool:
    v = goods.vault[i]
    while state.opened[v] == 0:
        if state.tally[OPEN] >= goods.dock[0]:
            _leave_done(goods, state)
        if state.tally[NEXT_VAULT] >= len(pull_order) or state.tally[OPEN] >= goods.dock[0]:
            return False
        state.opened[pull_order[state.tally[NEXT_VAULT]]] = 1
        state.tally[NEXT_VAULT] += 1
        state.tally[OPEN] += 1
    while state.where[i] == STORED and state.opened[v] == 1:
        k = goods.order[goods.inside[v] + state.taken[v]]
        if state.tally[FLOOR] + goods.area[k] > goods.dock[1]:
            return False
        state.taken[v] += 1
        state.where[k] = ON_FLOOR
        state.tally[FLOOR] += goods.area[k]
    return True


@bare
def _leave_done(goods: Goods, state: State) -> None:
    """Every vault that has nothing in it that leaves the warehouse leaves its spot."""
    for v in range(len(state.opened)):
        if state.opened[v] != 1:
            continue
        waiting = 0
        for k in range(goods.inside[v] + state.taken[v], goods.inside[v + 1]):
            if goods.stays[goods.order[k]] == 0:
                waiting += 1
        if waiting == 0:
            _leave(goods, state, v)
