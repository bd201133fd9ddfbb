"""Kernels that better a packing: take a part of it out and fill the room anew.

Large neighbourhood search: a region of the container is emptied, greedy completion with an
occasional second choice fills it from all boxes not in use, and the result replaces the packing it
came from unless it is clearly worse. (The idea of emptying regions is that of Parreno, Alvarez-
Valdes, Oliveira and Tamarit 2010, "Neighborhood structures for the container loading problem",
Journal of Heuristics 16.)
"""

from __future__ import annotations

import numpy as np

from loading.planner.packing.kernel import kernel
from loading.planner.packing.rollout import claim_room, open_space, place_block, take_stock
from loading.planner.packing.state import (
    BLOCK,
    PLACED,
    VOLUME,
    X0,
    X1,
    Y0,
    Y1,
    Z0,
    Z1,
    copy_state,
    start_state,
)
from loading.planner.packing.stock import refresh_candidates, refresh_reach

CHOICES = 4
SECOND_CHOICE_PERCENT = 30
RAISED_PERCENT = 60  # regions that leave what is low in place


@kernel
def roll(dice, sides):  # type: ignore[no-untyped-def]
    """A whole number from 0 to sides - 1 (linear congruence, constants of Knuth's MMIX)."""
    dice[0] = dice[0] * 6364136223846793005 + 1442695040888963407
    return ((dice[0] >> 33) & 0x7FFFFFFF) % sides


@kernel
def _draw_region(catalogue, dice, region):  # type: ignore[no-untyped-def]
    """Bounds x0, x1, y0, y1 and the level from which on a region is emptied.

    Small ones, a few blocks each: greedy completion seldom fills a large one as well as it was.
    """
    length, width, height = catalogue.container
    long = length * (2 + roll(dice, 16)) // 100
    wide = width * (10 + roll(dice, 50)) // 100
    region[0] = roll(dice, length + long // 2) - long // 2
    region[1] = region[0] + long
    region[2] = roll(dice, width + wide // 2) - wide // 2
    region[3] = region[2] + wide
    region[4] = roll(dice, height) if roll(dice, 100) < RAISED_PERCENT else 0


@kernel
def _is_gone(placed, row, gone, region, supported):  # type: ignore[no-untyped-def]
    """Whether a block lies in the region or stands on one that is gone."""
    box = placed[row]
    if (
        box[X0] < region[1]
        and box[X1] > region[0]
        and box[Y0] < region[3]
        and box[Y1] > region[2]
        and box[Z0] >= region[4]
    ):
        return True
    if supported:
        for below in range(row):
            under = placed[below]
            if (
                gone[below]
                and under[Z1] == box[Z0]
                and under[X0] < box[X1]
                and under[X1] > box[X0]
                and under[Y0] < box[Y1]
                and under[Y1] > box[Y0]
            ):
                return True
    return False


@kernel
def keep_outside(catalogue, source, target, region, gone, supported, least):  # type: ignore[no-untyped-def]
    """Build `target` from the blocks of `source` that stay when the region is emptied."""
    start_state(catalogue, target)
    for row in range(source.head[PLACED]):
        gone[row] = _is_gone(source.placed, row, gone, region, supported)
        if gone[row]:
            continue
        kept = target.placed[target.head[PLACED]]
        for column in range(8):
            kept[column] = source.placed[row, column]
        target.head[PLACED] += 1
        take_stock(catalogue, target, kept[BLOCK])
        claim_room(catalogue, target, kept, supported, least)


@kernel
def _complete_loosely(catalogue, state, scratch, dice, chosen, scores, weight, supported, least):  # type: ignore[no-untyped-def]
    """Greedy completion that now and then takes the second, third or fourth choice."""
    while True:
        loose = roll(dice, 100) < SECOND_CHOICE_PERCENT
        wanted = CHOICES if loose else 1
        row, found = open_space(
            catalogue, state, scratch, chosen, scores, wanted, weight, supported
        )
        if not found:
            return
        choice = roll(dice, found) if loose else 0
        place_block(catalogue, state, row, chosen[choice], supported, least)


@kernel
def refill(  # type: ignore[no-untyped-def]
    catalogue, current, work, best, scratch, dice, times, slack, weight, supported, least
):
    """Empty and fill a region of `current` the given number of times; `best` keeps the best.

    `slack`: the most volume that a refilled packing may lose and still replace the current one;
    each time a share of it is drawn.
    """
    chosen = np.zeros(CHOICES, np.int32)
    scores = np.zeros(CHOICES, np.float64)
    region = np.zeros(5, np.int64)
    gone = np.zeros(current.placed.shape[0], np.bool_)
    for _ in range(times):
        _draw_region(catalogue, dice, region)
        keep_outside(catalogue, current, work, region, gone, supported, least)
        refresh_reach(catalogue, work, scratch)
        refresh_candidates(catalogue, work, scratch)
        _complete_loosely(catalogue, work, scratch, dice, chosen, scores, weight, supported, least)
        if work.head[VOLUME] >= current.head[VOLUME] - slack * roll(dice, 21) // 20:
            copy_state(work, current)
        if work.head[VOLUME] > best.head[VOLUME]:
            copy_state(work, best)
