"""Pictures of a stored plan that stay the same whatever happens on the floor, drawn once."""

from typing import Final

from django.utils.translation import get_language

from loading.models import LoadPlan
from loading.pictures import WarehousePictures, warehouse_pictures
from loading.selectors import plan_of
from loading.selectors.kept import Kept

_LANGUAGES_AND_UNITS: Final = 4
_drawn: "Kept[WarehousePictures]" = Kept(16 * _LANGUAGES_AND_UNITS)


def plan_warehouse_pictures(*, plan: LoadPlan, units: str) -> WarehousePictures:
    """The lanes, moves and dock of a plan, in the language that is spoken now."""
    return _drawn.of(
        (plan.run_id, units, get_language()),
        lambda: warehouse_pictures(*plan_of(plan=plan), units=units),
    )
