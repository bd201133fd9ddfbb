"""R4: what stands off the deck rests on enough.

At least 80 % of a piece's bottom rests on the deck, on tops at most 10 mm below it, on fills where
these rest on something themselves (at most 100 mm of fills in all), or on an opening's floor; a
fill rests on something over at least 50 %.

The rule also wants a piece's centre within the convex hull of its contacts. That follows: a line
that had the centre on one side and all contacts on the other would leave them less than half of
the bottom.
"""

from collections.abc import Iterator

from loading.planner.checker.footing import Footing
from loading.planner.checker.layout import Body, Kind, Layout
from loading.planner.checker.report import Broken

PIECE_PERCENT = 80
FILL_PERCENT = 50


def broken(layout: Layout) -> Iterator[Broken]:
    footing = Footing(layout)
    for body in [*layout.pieces.values(), *layout.fills.values()]:
        held = footing.held_mm2(body)
        if not is_enough(body, held):
            share = held_share(body, held)
            message = f"{body.name} rests on {share:.1%} of its bottom"
            yield Broken("R4", body.name, message, 1000 * (1 - share))


def is_enough(body: Body, held_mm2: int) -> bool:
    """Whether that much of the bottom is enough for a body of its kind."""
    percent = FILL_PERCENT if body.kind is Kind.FILL else PIECE_PERCENT
    return held_mm2 > 0 and 100 * held_mm2 >= percent * body.bottom_mm2


def held_share(body: Body, held_mm2: int) -> float:
    return held_mm2 / body.bottom_mm2 if body.bottom_mm2 else 0.0
