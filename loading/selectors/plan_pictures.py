"""Pictures of a stored plan, each drawn once for all who look at it.

Each is kept under all that it is made from, so that it never has to be forgotten for a change.
"""

from collections.abc import Mapping
from typing import Final

from django.utils.translation import get_language

from loading.models import LoadPlan
from loading.pictures import (
    WarehousePictures,
    tier_svg,
    truck_side_svg,
    truck_top_svg,
    warehouse_pictures,
)
from loading.selectors.kept import PLANS, Kept
from loading.selectors.plans import plan_of

_LANGUAGES_AND_UNITS: Final = 4
_warehouses: "Kept[WarehousePictures]" = Kept(PLANS * _LANGUAGES_AND_UNITS)
_trucks: "Kept[tuple[str, str]]" = Kept(PLANS * _LANGUAGES_AND_UNITS)
_tiers: "Kept[str]" = Kept(256)
"""Some ten kB each; a tier being built has a picture for each of its states."""


def plan_warehouse_pictures(*, plan: LoadPlan, units: str) -> WarehousePictures:
    """The lanes, moves and dock of a plan, in the language that is spoken now."""
    return _warehouses.of(
        (plan.run_id, units, get_language()),
        lambda: warehouse_pictures(*plan_of(plan=plan), units=units),
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
