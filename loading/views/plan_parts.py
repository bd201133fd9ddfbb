"""Parts of pages that follow from a stored plan alone, rendered once for all who look at them."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from django.template.loader import render_to_string
from django.utils.safestring import SafeString
from django.utils.translation import get_language

from loading.models import LoadPlan
from loading.selectors import (
    dock_report,
    plan_tier_picture,
    plan_warehouse_pictures,
    pull_sheet,
    road_sheet,
    tier_sheets,
)
from loading.selectors.kept import PLANS, Kept

_PARTS_AND_READERS: Final = 3 * 4
"""Three parts, each in the languages and units that a branch reads."""

_parts: "Kept[SafeString]" = Kept(PLANS * _PARTS_AND_READERS)
"""Some ten kB each, all tiers of a household's plan 250."""


def plan_warehouse_part(*, plan: LoadPlan, units: str) -> SafeString:
    """The pull sheet and the lanes with each vault that is shifted."""
    return _part(
        plan,
        "loading/_warehouse_part.html",
        units,
        lambda: {
            "sheet": pull_sheet(plan=plan),
            "dock": dock_report(plan=plan),
            "pictures": plan_warehouse_pictures(plan=plan, units=units),
        },
    )


def plan_tiers_part(*, plan: LoadPlan, units: str) -> SafeString:
    """All tiers with their pictures."""
    return _part(
        plan,
        "loading/_tiers_part.html",
        units,
        lambda: {
            "tiers": [
                (sheet, plan_tier_picture(plan=plan, tier=sheet.tier, units=units))
                for sheet in tier_sheets(plan=plan)
            ]
        },
    )


def plan_road_part(*, plan: LoadPlan, units: str) -> SafeString:
    """The road sheet."""
    return _part(plan, "loading/_road_sheet.html", units, lambda: {"road": road_sheet(plan=plan)})


def _part(
    plan: LoadPlan, template: str, units: str, shown: Callable[[], Mapping[str, Any]]
) -> SafeString:
    return _parts.of(
        (template, plan.run_id, units, get_language()),
        lambda: render_to_string(template, {**shown(), "units": units}),
    )
