"""Pictures and parts of pages that say the same to everybody, made once and kept.

Each is kept under all that it is made from, so that it never has to be forgotten for a change.
"""

from collections.abc import Mapping
from typing import Final

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from jobs.selectors.boards import LoaderBoard, LoaderLine
from loading.models import LoadPlan
from loading.pictures import (
    WarehousePictures,
    tier_svg,
    truck_side_svg,
    truck_top_svg,
    warehouse_pictures,
)
from loading.selectors import plan_of
from loading.selectors.kept import Kept

_LANGUAGES_AND_UNITS: Final = 4
_drawn: "Kept[WarehousePictures]" = Kept(16 * _LANGUAGES_AND_UNITS)
_trucks: "Kept[tuple[str, str]]" = Kept()
_tiers: "Kept[str]" = Kept(64)
_pieces: "Kept[SafeString]" = Kept(4_000)
"""A few kB each."""


def plan_warehouse_pictures(*, plan: LoadPlan, units: str) -> WarehousePictures:
    """The lanes, moves and dock of a plan, in the language that is spoken now."""
    return _drawn.of(
        (plan.run_id, units, get_language()),
        lambda: warehouse_pictures(*plan_of(plan=plan), units=units),
    )


def plan_tier_picture(
    *,
    plan: LoadPlan,
    tier: int,
    units: str,
    highlight: str | None = None,
    states: Mapping[str, str] | None = None,
) -> str:
    """`tier_svg` of a stored plan, in the language that is spoken now. Raises `NoSuchTier`.

    The floor's pages, which mark a piece or its state, say beside the picture what it shows.
    """
    is_marked = highlight is not None or states is not None
    known = frozenset(states.items()) if states else None
    return _tiers.of(
        (plan.run_id, tier, units, get_language(), highlight, known),
        lambda: tier_svg(
            *plan_of(plan=plan),
            tier,
            highlight=highlight,
            states=states,
            units=units,
            explained=not is_marked,
        ),
    )


def plan_truck_pictures(*, plan: LoadPlan, units: str) -> tuple[str, str]:
    """The whole load from the side and from above, in the language that is spoken now."""
    return _trucks.of(
        (plan.run_id, units, get_language()),
        lambda: (
            truck_side_svg(*plan_of(plan=plan), units=units),
            truck_top_svg(*plan_of(plan=plan), units=units),
        ),
    )


def loader_pieces(
    *, board: LoaderBoard, plan: LoadPlan, units: str
) -> list[tuple[LoaderLine, SafeString]]:
    """The lines of the tier with the pieces' texts; a fill has a form of its own, and no text."""
    return [(line, _piece(line, plan, units)) for line in board.lines]


def _piece(line: LoaderLine, plan: LoadPlan, units: str) -> SafeString:
    if line.is_fill:
        return mark_safe("")
    carriers = tuple(who.first_name or who.username for who in line.carriers)
    standing = (line.line.key, line.status, line.where, carriers)
    return _pieces.of(
        (plan.run_id, units, get_language(), standing),
        lambda: render_to_string(
            "jobs/_loader_piece.html", {"entry": line, "line": line.line, "units": units}
        ),
    )
