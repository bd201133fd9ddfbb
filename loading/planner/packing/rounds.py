"""Which beams are run, one after the other: ever wider, in turn with different tastes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from loading.planner.packing.catalogue import Taste

GROWTH = 2.0**0.5  # doubles the work of a beam from one round to the next
SUPPORTED = (Taste(contact=1.5, height=3),)
UNSUPPORTED = (Taste(contact=4.0, height=1),)


@dataclass(frozen=True, slots=True)
class Round:
    """One beam: its width, how blocks are scored, how many are built and how full they are."""

    width: int
    taste: Taste
    blocks: int
    fill_percent: float


def rounds(*, full_support: bool) -> Iterator[Round]:
    """First answers from few blocks, at once; then widths that grow by GROWTH without end."""
    tastes = SUPPORTED if full_support else UNSUPPORTED
    yield Round(1, tastes[0], 1000, 98.0)
    width = 2.0
    turn = 0
    while True:
        yield Round(round(width), tastes[turn % len(tastes)], 10_000, 98.0)
        turn += 1
        width = max(width * GROWTH, width + 0.5)
