"""What fits into a gap that the loader points at, as the load stands now."""

from dataclasses import dataclass

from jobs.models import Job
from jobs.replanning.progress import request_now
from jobs.selectors.boards.standing import state_of
from loading.errors import NoSuchGap
from loading.models import LoadPlan
from loading.planner.fitting import Fit, Gap
from loading.planner.plan import Size
from loading.planner.request import LoadRequest, Progress
from loading.selectors import plan_of
from loading.selectors.fits import Face, GapAsked, face_fits

FITS_SHOWN = 6


@dataclass(frozen=True, slots=True)
class FitLine:
    """A piece that may go into the gap; `before` is how many come out of its vault first."""

    tag: str
    name: str
    posture: str
    size_mm: Size
    place: str
    vault: str | None
    before: int


@dataclass(frozen=True, slots=True)
class FitsBoard:
    """The gap, the pieces that fill it best, and how many pads would do instead."""

    gap: Gap
    may_go: tuple[FitLine, ...]
    rolls: int


def fits_board(*, job: Job, plan: LoadPlan, tier: int, y_mm: int, z_mm: int) -> FitsBoard | None:
    """What fits at a point of the tier's picture; None where there is no gap."""
    former, planned = plan_of(plan=plan)
    request = request_now(former, planned, state_of(job))
    face = Face(request, request.progress or Progress((), (), ()))
    try:
        asked = GapAsked(point_mm=(y_mm, z_mm), tier=tier)
        fits = face_fits(face=face, gap=asked, most=FITS_SHOWN)
    except NoSuchGap:
        return None
    return FitsBoard(
        gap=fits.gap,
        may_go=tuple(_line(request, fit) for fit in fits.may_go),
        rolls=fits.rolls.pads,
    )


def _line(request: LoadRequest, fit: Fit) -> FitLine:
    return FitLine(
        tag=fit.tag,
        name=request.item(fit.tag).name,
        posture=fit.posture,
        size_mm=fit.size_mm,
        place=fit.where.place.value,
        vault=fit.where.vault,
        before=fit.where.pieces_before,
    )
