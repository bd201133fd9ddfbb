"""Questions asked at the face of the load: what fits here, and where does this really stand."""

from dataclasses import dataclass
from typing import Any

from loading.errors import DocumentInvalid, NoSuchGap
from loading.models import Load
from loading.planner.errors import RequestError
from loading.planner.fitting import (
    Fits,
    Gap,
    Reported,
    Snapped,
    Standing,
    gap_at,
    gap_beside,
    gap_measured,
    gap_within,
    snap,
    what_fits,
)
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.plan import Size, parse_plan
from loading.planner.request import LoadRequest, Progress, parse_request
from loading.selectors.plans import load_plan_demanded
from loading.sentences import bad_keys


@dataclass(frozen=True, slots=True)
class GapAsked:
    """A gap by its size (depth, width, height), by a point (y, z) of the picture of a tier, or by
    a piece and a side of it ("left", "right", "above", "before", "inside"). With a point or a
    piece the size is what a tape says, and may be left out."""

    size_mm: Size | None = None
    point_mm: tuple[int, int] | None = None
    tier: int | None = None
    beside: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Face:
    """The request that a load's plan answers, and what has been loaded of it so far."""

    request: LoadRequest
    progress: Progress


def load_face(
    *,
    load: Load,
    version: int | None = None,
    progress: dict[str, Any] | None = None,
    steps_done: int | None = None,
) -> Face:
    """What stands in the truck, by the `progress` that is given (contract form), or else when so
    many steps of the plan are done, or else as the plan's own request said.

    Raises `NoPlanYet`, and `DocumentInvalid` naming each bad key of the progress.
    """
    plan = load_plan_demanded(load=load, version=version)
    document = plan.request_document if progress is None else _with(plan.request_document, progress)
    try:
        request = parse_request(document)
    except RequestError as error:
        raise DocumentInvalid(bad_keys(error.faults)) from error
    if progress is None and steps_done is not None:
        return Face(request, _after(parse_plan(plan.document), steps_done))
    return Face(request, request.progress or Progress((), (), ()))


def face_fits(*, face: Face, gap: GapAsked, most: int) -> Fits:
    """The pieces that fill the gap best; raises `NoSuchGap` where there is none."""
    found = _gap(Standing.of(face.request, face.progress), gap)
    if found is None:
        raise NoSuchGap
    return what_fits(face.request, face.progress, found, most=most)


def face_place(*, face: Face, reported: Reported) -> Snapped | None:
    """Where a piece is taken to stand that somebody reported; None if it can stand nowhere so."""
    return snap(Standing.of(face.request, face.progress), reported)


def _gap(standing: Standing, asked: GapAsked) -> Gap | None:
    if asked.beside is not None:
        found = gap_beside(standing, *asked.beside)
    elif asked.point_mm is not None:
        found = gap_at(standing, *asked.point_mm, asked.tier)
    else:
        return gap_measured(standing, asked.size_mm) if asked.size_mm is not None else None
    if found is None or asked.size_mm is None:
        return found
    return gap_within(found, asked.size_mm)


def _with(document: dict[str, Any], progress: dict[str, Any]) -> dict[str, Any]:
    return {**document, "progress": progress}


def _after(plan: PlannedLoad, steps_done: int) -> Progress:
    steps = plan.steps[:steps_done]
    aboard = {step.tag for step in steps if step.do == "load"}
    aboard -= {step.tag for step in steps if step.do == "take_out"}
    rolled = {step.fill for step in steps if step.do == "fill"}
    return Progress(
        steps=steps,
        placements=tuple(place for place in plan.placements if place.tag in aboard),
        fills=tuple(fill for fill in plan.fills if fill.fill in rolled),
    )
