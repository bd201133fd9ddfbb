"""Which beams are run, one after the other: ever wider."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from loading.planner.packing.catalogue import Taste

GROWTH = 2.0**0.5  # doubles the work of a beam from one width to the next
BLOCKS = 10_000
QUICK_BLOCKS = 1000
FILL_PERCENT = 98.0
REFILL_SHARE = 0.3  # iterations of refilling for each of a beam
MOST_WIDTH = 400
SUPPORTED = Taste(contact=1.5, height=8, boxes=0.2, slack_percent=1)
UNSUPPORTED = Taste(contact=4.0, height=1, boxes=0.4, slack_percent=1)


@dataclass(frozen=True, slots=True)
class Round:
    """One beam: its width, how blocks are scored, how many are built and how full they are."""

    width: int
    taste: Taste
    blocks: int = BLOCKS
    fill_percent: float = FILL_PERCENT


class Search(Protocol):
    """What the rounds drive."""

    stopped: bool
    iterations: int

    def beam(self, spec: Round) -> int: ...

    def refill(self, spec: Round, times: int) -> None: ...


def run_rounds(search: Search, *, full_support: bool) -> None:
    """Run beams, and refill what they find, until the search stops.

    The first answer comes at once, from few blocks. Several tastes in turn, or the best of several,
    were no better than these two (chosen on samples of BR1-BR15 at 2 s).
    """
    taste = SUPPORTED if full_support else UNSUPPORTED
    search.beam(Round(1, taste, QUICK_BLOCKS))
    width = 2.0
    while not search.stopped:
        spec = Round(round(width), taste)
        began = search.iterations
        search.beam(spec)
        search.refill(spec, int((search.iterations - began) * REFILL_SHARE))
        width = min(max(width * GROWTH, width + 0.5), MOST_WIDTH)
