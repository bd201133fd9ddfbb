"""Pieces of an open tier that nothing holds: they come out of the truck again, or are borne."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from loading.planner.checker import Report, check_plan
from loading.planner.plan import LoadPlan, Placement, Step
from loading.planner.request import LoadRequest, Progress

TOUCH_MM = 10  # what lies so near above a top rests on it (contract R4)


def loose_of(request: LoadRequest, report: Report) -> tuple[str, ...]:
    """Tags of the loaded pieces that a plan leaves loose, though their tier is still open."""
    loose = {fault.subject.removesuffix(" side") for fault in report.broken if fault.rule == "R14"}
    return tuple(tag for tag in _in_open_tiers(request) if tag in loose)


def borne_of(request: LoadRequest) -> int:
    """How many loaded pieces of open tiers travel too far from side to side for good: the way to
    them is barred (contract R15)."""
    begun = _in_open_tiers(request)
    if not begun or request.progress is None:
        return 0
    done = request.progress
    as_it_stands = LoadPlan(request.name, done.steps, done.placements, done.fills, ())
    given = {fault.subject for fault in check_plan(request, as_it_stands).given}
    return sum(f"{tag} side" in given for tag in begun)


def _in_open_tiers(request: LoadRequest) -> list[str]:
    """Tags of the loaded pieces whose tier is not closed yet."""
    if request.progress is None:
        return []
    shut = {step.tier for step in request.progress.steps if step.do == "close"}
    return [place.tag for place in request.progress.placements if place.tier not in shut]


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
