"""What fits into a gap of a job's load, as the job stands now."""

from dataclasses import dataclass

from jobs.folding.state import IN_TRUCK, State, piece_key
from jobs.models import Job, Task
from jobs.replanning import request_now
from jobs.selectors.states import state_of
from loading.models import LoadPlan
from loading.planner.fitting import Fit, Fits, Place
from loading.planner.request import Progress
from loading.selectors import plan_of
from loading.selectors.fits import Face, GapAsked, face_fits


@dataclass(frozen=True, slots=True)
class JobFits:
    """The answer, and of the pieces in it those that a helper can bring now, those that one was
    asked to bring, and those that stand in the truck already without a place."""

    face: Face
    fits: Fits
    can_come: frozenset[str]
    wanted: frozenset[str]
    in_truck: frozenset[str]


def job_fits(*, job: Job, plan: LoadPlan, gap: GapAsked, most: int) -> JobFits:
    """Which pieces fill a gap best, by the version of the plan that people work by and by what
    they have done; raises `NoSuchGap`."""
    former, planned = plan_of(plan=plan)
    state = state_of(job)
    request = request_now(former, planned, state)
    face = Face(request, request.progress or Progress((), (), ()))
    fits = face_fits(face=face, gap=gap, most=most)
    found = (*fits.may_go, *fits.may_not)
    in_truck = frozenset(fit.tag for fit in found if _is_in_truck(state, fit))
    comes_out = _comes_out(job)
    return JobFits(
        face=face,
        fits=fits,
        can_come=frozenset(fit.tag for fit in found if _is_at_hand(fit, comes_out)) - in_truck,
        wanted=frozenset(fit.tag for fit in found if piece_key(state, fit.tag) in state["wanted"]),
        in_truck=in_truck,
    )


def _is_in_truck(state: State, fit: Fit) -> bool:
    piece = state["pieces"].get(piece_key(state, fit.tag))
    return piece is not None and piece["stage"] >= IN_TRUCK


def _is_at_hand(fit: Fit, comes_out: frozenset[str]) -> bool:
    """Whether a helper can bring it out of turn: it lies there, or is the next to come out."""
    where = fit.where
    if where.place is Place.FLOOR:
        return True
    return where.place is not Place.VAULT and where.pieces_before == 0 and fit.tag in comes_out


def _comes_out(job: Job) -> frozenset[str]:
    """The pieces that somebody is to take out of storage, by the tasks that are open."""
    out = (Task.Kind.UNPACK, Task.Kind.FETCH)
    tasks = job.tasks.filter(status__in=Task.OPEN, kind__in=out)
    return frozenset(tasks.values_list("tag", flat=True))
