"""Free room without a support rule: overlapping maximal empty cuboids (Lai and Chan 1997)."""

from __future__ import annotations

from loading.planner.packing.kernel import kernel
from loading.planner.packing.state import (
    DEAD,
    SPACES,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    add_space,
    drop_space,
)


@kernel
def cut_spaces(state, x0, y0, z0, x1, y1, z1, least):  # type: ignore[no-untyped-def]
    """Take the cuboid out of every space; `least` is the smallest edge a space must keep.

    Each space it meets leaves up to six smaller ones; those that lie within another are dropped.
    """
    spaces = state.spaces
    old = state.head[SPACES]
    row = 0
    fresh = old
    while row < old:
        a, b, c = spaces[row, X0], spaces[row, Y0], spaces[row, Z0]
        d, e, f = spaces[row, X1], spaces[row, Y1], spaces[row, Z1]
        if x0 >= d or a >= x1 or y0 >= e or b >= y1 or z0 >= f or c >= z1:
            row += 1
            continue
        if x0 - a >= least:
            add_space(state, a, b, c, x0, e, f, 0)
        if d - x1 >= least:
            add_space(state, x1, b, c, d, e, f, 0)
        if y0 - b >= least:
            add_space(state, a, b, c, d, y0, f, 0)
        if e - y1 >= least:
            add_space(state, a, y1, c, d, e, f, 0)
        if z0 - c >= least:
            add_space(state, a, b, c, d, e, z0, 0)
        if f - z1 >= least:
            add_space(state, a, b, z1, d, e, f, 0)
        spaces[row, DEAD] = 2
        row += 1
    _drop_inner(state, fresh)


@kernel
def _drop_inner(state, fresh):  # type: ignore[no-untyped-def]
    """Drop spaces marked 2 and those of the rows from `fresh` on that lie within another."""
    spaces = state.spaces
    rows = state.head[SPACES]
    for row in range(fresh, rows):
        for other in range(rows):
            if other == row or spaces[other, DEAD] == 2:
                continue
            if (
                spaces[other, X0] <= spaces[row, X0]
                and spaces[other, Y0] <= spaces[row, Y0]
                and spaces[other, Z0] <= spaces[row, Z0]
                and spaces[other, X1] >= spaces[row, X1]
                and spaces[other, Y1] >= spaces[row, Y1]
                and spaces[other, Z1] >= spaces[row, Z1]
            ):
                spaces[row, DEAD] = 2
                break
    for row in range(rows - 1, -1, -1):
        if spaces[row, DEAD] == 2:
            drop_space(state, row)
