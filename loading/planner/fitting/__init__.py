"""Questions at the face of the load: what fits here, where does this really stand, which truck."""

from loading.planner.fitting.choosing import Choice, Offer, Trip, choose, only
from loading.planner.fitting.fits import Fit, Fits, what_fits
from loading.planner.fitting.gaps import Gap, gap_at, gap_beside, gap_measured, gap_within
from loading.planner.fitting.judging import Judge, Objection
from loading.planner.fitting.measuring import (
    Correction,
    FaceDepth,
    FreeWidth,
    corrected,
)
from loading.planner.fitting.rolls import Rolls, rolls_for
from loading.planner.fitting.snapping import Reported, Snapped, snap
from loading.planner.fitting.standing import Standing
from loading.planner.fitting.turns import Play
from loading.planner.fitting.whereabouts import Place, Whereabouts, at_hand

__all__ = [
    "Choice",
    "Correction",
    "FaceDepth",
    "Fit",
    "Fits",
    "FreeWidth",
    "Gap",
    "Judge",
    "Objection",
    "Offer",
    "Place",
    "Play",
    "Reported",
    "Rolls",
    "Snapped",
    "Standing",
    "Trip",
    "Whereabouts",
    "at_hand",
    "choose",
    "corrected",
    "gap_at",
    "gap_beside",
    "gap_measured",
    "gap_within",
    "only",
    "rolls_for",
    "snap",
    "what_fits",
]
