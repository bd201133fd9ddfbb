"""Questions at the face of the load: what fits here, where does this really stand, which truck."""

from loading.planner.fitting.fits import Fit, Fits, what_fits
from loading.planner.fitting.gaps import Gap, gap_at, gap_beside, gap_measured, gap_within
from loading.planner.fitting.judging import Judge, Objection
from loading.planner.fitting.rolls import Rolls, rolls_for
from loading.planner.fitting.standing import Standing
from loading.planner.fitting.turns import Play
from loading.planner.fitting.whereabouts import Place, Whereabouts, at_hand

__all__ = [
    "Fit",
    "Fits",
    "Gap",
    "Judge",
    "Objection",
    "Place",
    "Play",
    "Rolls",
    "Standing",
    "Whereabouts",
    "at_hand",
    "gap_at",
    "gap_beside",
    "gap_measured",
    "gap_within",
    "rolls_for",
    "what_fits",
]
