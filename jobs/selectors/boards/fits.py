"""What fits into a gap that the loader points at, as the load stands now."""

from dataclasses import dataclass

from jobs.models import Job
from jobs.selectors.fits import JobFits, job_fits
from loading.errors import NoSuchGap
from loading.models import LoadPlan
from loading.planner.fitting import Fit, Gap
from loading.planner.plan import Size
from loading.selectors.fits import GapAsked

FITS_SHOWN = 6


@dataclass(frozen=True, slots=True)
class FitLine:
    """A piece that may go into the gap; `before` is how many come out of its vault first.

    `can_come`: a helper can bring it out of turn; `wanted`: one was asked to already.
    """

    tag: str
    name: str
    posture: str
    size_mm: Size
    place: str
    vault: str | None
    before: int
    can_come: bool
    wanted: bool


@dataclass(frozen=True, slots=True)
class FitsBoard:
    """The gap, the pieces that fill it best, and how many pads would do instead."""

    gap: Gap
    may_go: tuple[FitLine, ...]
    rolls: int


def fits_board(*, job: Job, plan: LoadPlan, tier: int, y_mm: int, z_mm: int) -> FitsBoard | None:
    """What fits at a point of the tier's picture; None where there is no gap."""
    asked = GapAsked(point_mm=(y_mm, z_mm), tier=tier)
    try:
        found = job_fits(job=job, plan=plan, gap=asked, most=FITS_SHOWN)
    except NoSuchGap:
        return None
    return FitsBoard(
        gap=found.fits.gap,
        may_go=tuple(_line(found, fit) for fit in found.fits.may_go),
        rolls=found.fits.rolls.pads,
    )


def _line(found: JobFits, fit: Fit) -> FitLine:
    return FitLine(
        tag=fit.tag,
        name=found.face.request.item(fit.tag).name,
        posture=fit.posture,
        size_mm=fit.size_mm,
        place="truck" if fit.tag in found.in_truck else fit.where.place.value,
        vault=fit.where.vault,
        before=fit.where.pieces_before,
        can_come=fit.tag in found.can_come,
        wanted=fit.tag in found.wanted,
    )
