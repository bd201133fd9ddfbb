"""Free room when every box stands wholly on solid ground.

Then no cavity can exist under anything: the packing is a height map, every space is open to the
ceiling, and a space is a maximal rectangle of cells whose height is exactly its level. A block cuts
rectangles of its own level only and adds its top to the level above, where it is joined with tops
of equal height beside it.
"""

from __future__ import annotations

from loading.planner.packing.kernel import kernel
from loading.planner.packing.state import (
    DEAD,
    MOST_SPACES,
    SPACES,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    add_space,
    drop_space,
)


@kernel
def cut_level(state, x0, y0, x1, y1, level, ceiling):  # type: ignore[no-untyped-def]
    """Take the rectangle out of all rectangles of its level."""
    spaces = state.spaces
    old = state.head[SPACES]
    for row in range(old):
        if spaces[row, Z0] != level:
            continue
        a, b, d, e = spaces[row, X0], spaces[row, Y0], spaces[row, X1], spaces[row, Y1]
        if x0 >= d or a >= x1 or y0 >= e or b >= y1:
            continue
        dead = spaces[row, DEAD]
        if x0 > a:
            add_space(state, a, b, level, x0, e, ceiling, dead)
        if d > x1:
            add_space(state, x1, b, level, d, e, ceiling, dead)
        if y0 > b:
            add_space(state, a, b, level, d, y0, ceiling, dead)
        if e > y1:
            add_space(state, a, y1, level, d, e, ceiling, dead)
        spaces[row, DEAD] = 2
    _drop_inner(state, old, level)


@kernel
def _drop_inner(state, fresh, level):  # type: ignore[no-untyped-def]
    """Drop rectangles marked 2 and those from row `fresh` on that lie within another."""
    spaces = state.spaces
    rows = state.head[SPACES]
    for row in range(fresh, rows):
        for other in range(rows):
            if (
                other != row
                and spaces[other, Z0] == level
                and spaces[other, DEAD] != 2
                and spaces[other, X0] <= spaces[row, X0]
                and spaces[other, Y0] <= spaces[row, Y0]
                and spaces[other, X1] >= spaces[row, X1]
                and spaces[other, Y1] >= spaces[row, Y1]
            ):
                spaces[row, DEAD] = 2
                break
    for row in range(rows - 1, -1, -1):
        if spaces[row, DEAD] == 2:
            drop_space(state, row)


@kernel
def add_top(state, x0, y0, x1, y1, level, ceiling):  # type: ignore[no-untyped-def]
    """Add a rectangle to a level and join it, pair by pair, until nothing new appears."""
    spaces = state.spaces
    first = state.head[SPACES]
    _add_unless_inner(state, x0, y0, x1, y1, level, ceiling)
    row = first
    while row < state.head[SPACES]:
        other = 0
        while other < state.head[SPACES] and row < MOST_SPACES:
            if other != row and spaces[other, Z0] == level:
                _join(state, row, other, level, ceiling)
            other += 1
        row += 1
    rows = state.head[SPACES]
    for old in range(rows):
        if spaces[old, Z0] == level and _lies_within_another(state, old, level):
            spaces[old, DEAD] = 2
    for old in range(rows - 1, -1, -1):
        if spaces[old, DEAD] == 2:
            drop_space(state, old)


@kernel
def _join(state, row, other, level, ceiling):  # type: ignore[no-untyped-def]
    """Add what two touching or overlapping rectangles have in common, stretched over both."""
    spaces = state.spaces
    x_from = max(spaces[row, X0], spaces[other, X0])
    x_to = min(spaces[row, X1], spaces[other, X1])
    y_from = max(spaces[row, Y0], spaces[other, Y0])
    y_to = min(spaces[row, Y1], spaces[other, Y1])
    if x_from > x_to or y_from > y_to:
        return
    if y_from < y_to:
        a = min(spaces[row, X0], spaces[other, X0])
        d = max(spaces[row, X1], spaces[other, X1])
        _add_unless_inner(state, a, y_from, d, y_to, level, ceiling)
    if x_from < x_to:
        b = min(spaces[row, Y0], spaces[other, Y0])
        e = max(spaces[row, Y1], spaces[other, Y1])
        _add_unless_inner(state, x_from, b, x_to, e, level, ceiling)


@kernel
def _add_unless_inner(state, x0, y0, x1, y1, level, ceiling):  # type: ignore[no-untyped-def]
    spaces = state.spaces
    for row in range(state.head[SPACES]):
        if (
            spaces[row, Z0] == level
            and spaces[row, X0] <= x0
            and spaces[row, Y0] <= y0
            and spaces[row, X1] >= x1
            and spaces[row, Y1] >= y1
        ):
            return
    add_space(state, x0, y0, level, x1, y1, ceiling, 0)


@kernel
def _lies_within_another(state, row, level):  # type: ignore[no-untyped-def]
    spaces = state.spaces
    for other in range(state.head[SPACES]):
        if (
            other != row
            and spaces[other, Z0] == level
            and spaces[other, DEAD] != 2
            and spaces[other, X0] <= spaces[row, X0]
            and spaces[other, Y0] <= spaces[row, Y0]
            and spaces[other, X1] >= spaces[row, X1]
            and spaces[other, Y1] >= spaces[row, Y1]
        ):
            return True
    return False
