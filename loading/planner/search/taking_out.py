"""Pieces that come out of the truck again, since nothing would hold them where they stand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from loading.planner.checker import Report
from loading.planner.plan import Placement, Step
from loading.planner.request import LoadRequest, Progress

TOUCH_MM = 10  # what lies so near above a top rests on it (contract R4)


def loose_of(request: LoadRequest, report: Report) -> tuple[str, ...]:
    """Tags of the loaded pieces that a plan leaves loose, though their tier is still open."""
    progress = request.progress
    if progress is None:
        return ()
    shut = {step.tier for step in progress.steps if step.do == "close"}
    loose = {fault.subject.removesuffix(" side") for fault in report.broken if fault.rule == "R14"}
    return tuple(
        place.tag for place in progress.placements if place.tag in loose and place.tier not in shut
    )


def with_taken_out(request: LoadRequest, tags: Iterable[str]) -> LoadRequest:
    """The request as it stands once those pieces are out, and before them what is in their way."""
    progress = request.progress
    assert progress is not None  # only what is loaded comes out
    loads = (step.tag for step in progress.steps if step.do == "load")
    turn = {tag: number for number, tag in enumerate(loads)}  # the last, where it was loaded again
    places = sorted(progress.placements, key=lambda place: turn[place.tag])
    out: set[str] = set()
    for tag in tags:
        out |= _with_what_bars(places, tag)
    steps = [Step("take_out", tag=place.tag) for place in reversed(places) if place.tag in out]
    kept = tuple(place for place in progress.placements if place.tag not in out)
    return replace(request, progress=Progress((*progress.steps, *steps), kept, progress.fills))


def _with_what_bars(places: list[Placement], tag: str) -> set[str]:
    """A piece, and those loaded after it that stand on it, in it or in its way, and so on."""
    out = {tag}
    for place in places:
        if any(_bars(place, other) for other in places if other.tag in out):
            out.add(place.tag)
    return out


def _bars(place: Placement, other: Placement) -> bool:
    if place.inside == other.tag:
        return True
    (x, y, z), (dx, dy, dz) = place.at_mm, place.size_mm
    (ox, oy, oz), (odx, ody, odz) = other.at_mm, other.size_mm
    abreast = y < oy + ody and oy < y + dy
    in_line = abreast and z < oz + odz and oz < z + dz and x >= ox + odx
    on_top = abreast and x < ox + odx and ox < x + dx and 0 <= z - (oz + odz) <= TOUCH_MM
    return in_line or on_top
