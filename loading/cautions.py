"""What a road sheet's cautions say to people; the same words on the page and on the paper."""

from collections.abc import Mapping
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from loading.measures import length, weight
from loading.road.sheet import Caution
from loading.selectors import RoadSheet

WORDS: Final[Mapping[Caution, Promise]] = {
    Caution.OVER_AT_THE_DOCK: _(
        "A support is over its limit for a while during loading: keep the truck standing until it"
        " is full."
    ),
    Caution.LIFTED_AT_THE_DOCK: _(
        "A support is lifted for a while during loading: put props under the truck."
    ),
    Caution.FAR_ALONG: _("The weight lies far from the middle of the length."),
    Caution.HALF_TOO_HEAVY: _("More than 60 %% of the weight lies in one half of the length."),
    Caution.OFF_THE_MIDDLE: _("The weight lies to one side."),
    Caution.TOP_HEAVY: _("The weight lies high: drive bends slowly."),
    Caution.VOIDS: _("Void spaces add up to more than %(void)s: fill them."),
    Caution.TALL_PIECES: _("Tall pieces may tip."),
    Caution.ESTIMATED_SIZES: _(
        "Pieces of %(weight)s in all have typical weights: a scale knows better."
    ),
    Caution.COMMERCIAL_LICENCE: _(
        "A truck of this gross rating needs a commercial licence in the United States."
    ),
}


def cautions_said(road: RoadSheet, units: str = "") -> tuple[str, ...]:
    """The cautions of a road sheet, in its order."""
    gaps = {
        "weight": weight(road.estimated_g, units),
        "void": length(road.void_limit_mm, units),
    }
    return tuple(str(WORDS[caution]) % gaps for caution in road.cautions)
