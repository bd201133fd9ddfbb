"""What fits into a gap that the loader points at, as the load stands now."""

from collections.abc import Collection
from dataclasses import dataclass

from jobs.folding.state import IN_TRUCK, State, piece_key
from jobs.models import Job, Task
from jobs.replanning.progress import request_now
from jobs.selectors.boards.standing import stage_of, state_of
from loading.errors import NoSuchGap
from loading.models import LoadPlan
from loading.planner.fitting import Fit, Gap, Place
from loading.planner.plan import Size
from loading.planner.request import LoadRequest, Progress
from loading.selectors import plan_of
from loading.selectors.fits import Face, GapAsked, face_fits

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
    former, planned = plan_of(plan=plan)
    state = state_of(job)
    request = request_now(former, planned, state)
    face = Face(request, request.progress or Progress((), (), ()))
    try:
        asked = GapAsked(point_mm=(y_mm, z_mm), tier=tier)
        fits = face_fits(face=face, gap=asked, most=FITS_SHOWN)
    except NoSuchGap:
        return None
    comes_out = _comes_out(job)
    return FitsBoard(
        gap=fits.gap,
        may_go=tuple(_line(request, state, comes_out, fit) for fit in fits.may_go),
        rolls=fits.rolls.pads,
    )


def _comes_out(job: Job) -> frozenset[str]:
    """The pieces that somebody is to take out of storage, by the tasks that are open."""
    out = (Task.Kind.UNPACK, Task.Kind.FETCH)
    tasks = job.tasks.filter(status__in=Task.OPEN, kind__in=out)
    return frozenset(tasks.values_list("tag", flat=True))


def _line(request: LoadRequest, state: State, comes_out: Collection[str], fit: Fit) -> FitLine:
    where, stage = fit.where, stage_of(state, fit.tag)
    at_hand = where.place is Place.FLOOR or (
        where.place is not Place.VAULT and where.pieces_before == 0 and fit.tag in comes_out
    )
    return FitLine(
        tag=fit.tag,
        name=request.item(fit.tag).name,
        posture=fit.posture,
        size_mm=fit.size_mm,
        place="truck" if stage >= IN_TRUCK else where.place.value,
        vault=where.vault,
        before=where.pieces_before,
        can_come=at_hand and stage < IN_TRUCK,
        wanted=piece_key(state, fit.tag) in state["wanted"],
    )
