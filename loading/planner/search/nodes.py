"""What a beam is made of: loads so far, how their last tiers were built, and finished ones."""

from __future__ import annotations

from dataclasses import dataclass, field

from loading.planner.search.arrays import SLACK, Ints, Longs, Reals, State
from loading.planner.search.tier import B_AIM


@dataclass
class Node:
    """A load so far; `rank` is the length in mm that it promises to end with."""

    state: State
    rank: float
    parent: Node | None = None
    drawn: Drawn | None = None  # what its last tier was built with

    @property
    def order(self) -> tuple[int, float]:
        """Less is better: a load in which a given piece is loose is none, however short."""
        return int(self.state.tally[SLACK]), self.rank


@dataclass
class Drawn:
    """What one tier is built with; see `tier.build_tier`."""

    bounds: Longs
    weights: Reals
    skip: Ints
    wish: Reals
    pieces: int = 0

    @property
    def taste(self) -> tuple[int, Reals]:
        """Depth aimed at, and weights."""
        return int(self.bounds[B_AIM]), self.weights


@dataclass
class Outcome:
    """A finished load and how it was reached."""

    state: State
    key: tuple[float, ...]
    trail: list[State] = field(default_factory=list)
    order: int = 0  # which pull order
    tastes: list[tuple[int, Reals]] = field(default_factory=list)


def grown(node: Node) -> list[State]:
    """The states that a beam has added to its root, up to a node."""
    states: list[State] = []
    while node.parent is not None:
        states.append(node.state)
        node = node.parent
    return states[::-1]
