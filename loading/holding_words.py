"""What holds a tier and where the weight lies, in words; the same on the page and on the paper."""

from collections.abc import Mapping
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loading.measures import length, weight
from loading.road.tier_forces import By, TierForces
from loading.selectors.road_sheet import CentreLine

HELD: Final[Mapping[By, tuple[str | Promise, str | Promise, str | Promise]]] = {
    By.FRICTION: (gettext_lazy("friction holds it"),) * 3,
    By.NEIGHBOURS: (
        gettext_lazy("what stands ahead of it"),
        gettext_lazy("what stands behind it"),
        gettext_lazy("what stands beside it"),
    ),
    By.WALLS: (gettext_lazy("the walls"),) * 3,
    By.STRAPS: (gettext_lazy("straps"),) * 3,
    By.NOTHING: (gettext_lazy("nothing near: fill it, or strap it"),) * 3,
}
"""Forward, rearward, sideways."""


def forces_said(tier: TierForces, units: str) -> tuple[str, str, str]:
    """What a tier presses with forward, rearward and sideways, and what takes it up."""
    forward, rearward, sideways = (_force_said(tier, n, units) for n in range(3))
    return forward, rearward, sideways


def _force_said(tier: TierForces, direction: int, units: str) -> str:
    by = tier.held[direction]
    if by is By.FRICTION:
        return str(HELD[by][direction])
    return _("%(breaking)s (%(working)s): %(held)s") % {
        "breaking": weight(tier.breaking_g[direction], units),
        "working": weight(tier.working_g[direction], units),
        "held": HELD[by][direction],
    }


def centre_said(centre: CentreLine, units: str) -> tuple[tuple[str, str, str, bool], ...]:
    """Where the weight lies: along, across and in height, its limit, and whether it is within."""
    along_mm, across_mm, height_mm = centre.limits_mm
    ahead, behind = _("%(off)s ahead of the middle"), _("%(off)s behind the middle")
    left, right = _("%(off)s left of the middle"), _("%(off)s right of the middle")
    off_along = length(abs(centre.along_mm), units)
    off_across = length(abs(centre.across_mm), units)
    lines = (
        (_("Along"), (behind if centre.along_mm >= 0 else ahead) % {"off": off_along}, along_mm),
        (_("Across"), (right if centre.across_mm >= 0 else left) % {"off": off_across}, across_mm),
        (_("In height"), _("%(up)s up") % {"up": length(centre.at_mm[2], units)}, height_mm),
    )
    limits = ((name, said, length(limit_mm, units)) for name, said, limit_mm in lines)
    halves = (_("In the heavier half"), f"{centre.half_percent} %", "60 %")
    told = zip((*limits, halves), centre.passes, strict=True)
    return tuple((name, said, limit, passes) for (name, said, limit), passes in told)
