"""Good pull orders for a shipment whose vaults may come in any order."""

from __future__ import annotations

import contextlib
import random
from collections.abc import Sequence
from dataclasses import dataclass

from loading.planner.pulls.errors import YardBlocked
from loading.planner.pulls.retrieval import retrieve, retrieve_groups
from loading.planner.pulls.yard import Yard, YardLane

TRIES_PER_ORDER = 2


@dataclass(frozen=True, slots=True)
class PullOrder:
    """An order in which every vault of the shipment leaves, and the moves that it costs."""

    codes: tuple[str, ...]
    moves: int


@dataclass(frozen=True, slots=True)
class Chain:
    """The shipment's vaults of one lane, the nearest first, and what stands before each.

    `in_the_way[i]` counts vaults of others between vault i and the one before it.
    """

    lane: str
    codes: tuple[str, ...]
    in_the_way: tuple[int, ...]


def chains(yard: Yard, codes: Sequence[str] | None = None) -> tuple[Chain, ...]:
    """The partial order of fewest moves: within a lane the nearest first, lanes in any order.

    Of all vaults of the shipment, or of those named; the others then count as in the way.
    """
    own = set(yard.own if codes is None else codes)
    return tuple(
        _chain(lane, own) for lane in yard.lanes if any(v.code in own for v in lane.vaults)
    )


def orders(
    yard: Yard, *, seed: int, limit: int, groups: Sequence[Sequence[str]] | None = None
) -> tuple[PullOrder, ...]:
    """Up to `limit` orders, fewest moves first. Raises YardBlocked if none is possible.

    The groups leave in turn (those of the last stop first, say), the vaults of one group in any
    order; without groups, all vaults of the shipment that still stand are one.
    """
    groups = [yard.standing()] if groups is None else groups
    best = retrieve_groups(yard, groups)
    found = {best.order: PullOrder(best.order, best.moves)}
    rng = random.Random(seed)
    lanes = [chains(yard, group) for group in groups]
    for attempt in range(limit * TRIES_PER_ORDER):
        if len(found) >= limit:
            break
        parts = [_cheapest_first(ln) if attempt == 0 else _shuffled(ln, rng) for ln in lanes]
        codes = tuple(code for part in parts for code in part)
        if codes not in found:
            with contextlib.suppress(YardBlocked):
                found[codes] = PullOrder(codes, retrieve(yard, codes).moves)
    return tuple(sorted(found.values(), key=lambda order: order.moves))


def _chain(lane: YardLane, own: set[str]) -> Chain:
    codes: list[str] = []
    in_the_way: list[int] = []
    others = 0
    for vault in reversed(lane.vaults):
        if vault.code in own:
            codes.append(vault.code)
            in_the_way.append(others)
            others = 0
        else:
            others += 1
    return Chain(lane.name, tuple(codes), tuple(in_the_way))


def _cheapest_first(lanes: Sequence[Chain]) -> tuple[str, ...]:
    """Always the vault with the fewest others before it, so that slots come free early."""
    taken = [0] * len(lanes)
    codes: list[str] = []
    while True:
        open_lanes = [i for i, chain in enumerate(lanes) if taken[i] < len(chain.codes)]
        if not open_lanes:
            return tuple(codes)
        i = min(open_lanes, key=lambda i: (lanes[i].in_the_way[taken[i]], i))
        codes.append(lanes[i].codes[taken[i]])
        taken[i] += 1


def _shuffled(lanes: Sequence[Chain], rng: random.Random) -> tuple[str, ...]:
    """A random merging of the lanes, each lane's own order kept."""
    turns = [i for i, chain in enumerate(lanes) for _ in chain.codes]
    rng.shuffle(turns)
    left = [iter(chain.codes) for chain in lanes]
    return tuple(next(left[i]) for i in turns)
