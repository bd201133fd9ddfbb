"""Made-up yards like those that were published, of other sizes and with other seeds."""

from __future__ import annotations

import random
from collections.abc import Iterator

from loading.planner.pulls.stacks import Stacks

SEEDS = range(100, 106)
FULL = ((3, 3), (3, 5), (3, 8), (3, 10), (4, 4), (4, 5), (4, 7), (5, 4), (5, 5))
LARGE = ((5, 6), (5, 7), (5, 8), (6, 6))
FILLED = (0.5, 0.7, 0.9)
PARTLY = ((20, 3, 6), (40, 3, 12), (8, 9, 4), (10, 12, 5), (6, 15, 3), (12, 18, 6), (20, 18, 12))


def yards() -> Iterator[tuple[str, Stacks]]:
    """Each with the class that it is like."""
    for tiers, stacks in (*FULL, *LARGE):
        for seed in SEEDS:
            yield f"cvs-{tiers}-{stacks}", full(tiers, stacks, seed)
    for part in FILLED:
        for seed in SEEDS:
            for stacks in (6, 9, 14):
                yield "firmino4", filled(stacks, 4, part, seed)
            for stacks in (10, 30, 75):
                yield "wh3", filled(stacks, 3, part, seed)
    for lanes, slots, leaving in PARTLY:
        for seed in SEEDS:
            yield "partial", filled(lanes, slots, 0.8, seed, leaving)


def full(tiers: int, stacks: int, seed: int) -> Stacks:
    """Stacks of the same height, two places above each, a number for each block."""
    rng = random.Random(f"full {tiers} {stacks} {seed}")
    blocks = rng.sample(range(tiers * stacks), tiers * stacks)
    ranks = [blocks[n * tiers : (n + 1) * tiers] for n in range(stacks)]
    return Stacks.of_full(ranks, [tiers + 2] * stacks)


def filled(lanes: int, slots: int, part: float, seed: int, leaving: int | None = None) -> Stacks:
    """Lanes of so many slots, filled to that part, with as many free as one lane needs at most.

    All leave, or only the first so many, and the rest stays.
    """
    rng = random.Random(f"filled {lanes} {slots} {part} {seed} {leaving}")
    places = [lane for lane in range(lanes) for _ in range(slots)]
    count = min(round(part * lanes * slots), lanes * slots - slots + 1)
    ranks: list[list[int]] = [[] for _ in range(lanes)]
    turns = rng.sample(range(count), count)
    for lane, turn in zip(rng.sample(places, count), turns, strict=True):
        ranks[lane].append(turn if leaving is None else min(turn, leaving))
    return Stacks.of_full(ranks, [slots] * lanes)
