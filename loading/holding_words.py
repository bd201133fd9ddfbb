"""What holds a tier, what to strap, where the weight lies, in words; on pages as on papers."""

from collections.abc import Mapping
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from loading.measures import length, weight
from loading.road.holding import Strapping, Why
from loading.road.tier_forces import By, TierForces
from loading.selectors import TierStraps
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

WHY: Final[Mapping[Why, str | Promise]] = {
    Why.END_OF_LOAD: gettext_lazy("end of the load"),
    Why.OPEN_BEHIND: gettext_lazy("open behind"),
    Why.MAY_TIP: gettext_lazy("may tip"),
    Why.LONG_TRIP: gettext_lazy("long trip on steel springs"),
}


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


def straps_said(straps: TierStraps, units: str) -> tuple[str, ...]:
    """What the loader has to do before a tier is closed, a sentence for each thing."""
    said = [strapping_said(straps.strapping, straps.limit_g, units)] if straps.strapping else []
    if straps.strapping and straps.strapping.mats_do:
        said.append(_("Friction mats under its pieces do as well."))
    if straps.ties:
        tags = {"tags": ", ".join(straps.ties)}
        said.append(_("Tall pieces to tie to the wall beside them: %(tags)s") % tags)
    return tuple(said)


def strapping_said(strapping: Strapping, limit_g: int, units: str) -> str:
    """How many straps or load bars go behind a tier, how high, how strong, and why."""
    told = ngettext(
        "Behind tier %(tier)s: one strap or load bar from wall to wall, %(heights)s above the "
        "deck, good for %(limit)s (%(why)s).",
        "Behind tier %(tier)s: %(straps)s straps or load bars from wall to wall, %(heights)s above "
        "the deck, each good for %(limit)s (%(why)s).",
        strapping.straps,
    )
    return told % {
        "tier": strapping.tier,
        "straps": strapping.straps,
        "heights": ", ".join(length(height, units) for height in strapping.heights_mm),
        "limit": weight(limit_g, units),
        "why": why_said(strapping),
    }


def why_said(strapping: Strapping) -> str:
    """The rule that asks for straps, with the pieces it is about."""
    why = str(WHY[strapping.why])
    named = strapping.why in (Why.OPEN_BEHIND, Why.MAY_TIP)
    return f"{why}: {', '.join(strapping.tags)}" if named else why


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
