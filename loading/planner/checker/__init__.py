"""Judges a load plan by the rules R1 to R15, sharing nothing with the search that made it.

Each rule has a module with one function that yields what breaks it.
"""

from collections.abc import Iterator

from loading.planner.checker import (
    bearing,
    levels,
    posture,
    progress,
    room,
    stops,
    support,
    tiers,
    tightness,
    way_in,
    weight,
    when_loaded,
    whole,
)
from loading.planner.checker.dock import DockFigures, walk_dock
from loading.planner.checker.figures import figures
from loading.planner.checker.given import given_amounts, is_given
from loading.planner.checker.layout import Layout
from loading.planner.checker.moments import moments, never_aboard
from loading.planner.checker.report import Broken, Report
from loading.planner.checker.tightness import Travels
from loading.planner.errors import Fault, PlanError, said
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest

__all__ = ["Broken", "Report", "check_plan"]


def check_plan(request: LoadRequest, plan: LoadPlan) -> Report:
    """Every broken rule, what the progress broke before, and the plan's figures.

    Raises PlanError for a plan of another request.
    """
    if plan.request != request.name:
        fault = said(
            "is %(plan)s, the request is %(request)s", plan=plan.request, request=request.name
        )
        raise PlanError([Fault("/request", fault)])
    layout = _layout(request, plan)
    dock_faults, dock = walk_dock(request, plan)
    travels = tightness.travels(layout)
    found = [
        *whole.broken(request, plan),
        *_static(layout, travels),
        *_loading(layout, plan),
        *dock_faults,
        *progress.broken(request, plan),
    ]
    before = given_amounts(request, plan, _rules_of_places)
    found.sort(key=lambda fault: int(fault.rule[1:]))
    broken = tuple(fault for fault in found if not is_given(fault, before))
    given = tuple(fault for fault in found if is_given(fault, before))
    return _report(broken, given, layout, plan, travels, dock)


def _report(
    broken: tuple[Broken, ...],
    given: tuple[Broken, ...],
    layout: Layout,
    plan: LoadPlan,
    travels: Travels,
    dock: DockFigures,
) -> Report:
    return Report(broken, given, figures(layout, plan, travels, dock, len(given)))


def _layout(request: LoadRequest, plan: LoadPlan) -> Layout:
    """All that the plan places, and where what it changes stood before."""
    begun = request.progress.placements if request.progress else ()
    gone = progress.taken_out(request, plan)
    now = {place.tag: place for place in plan.placements}
    return Layout(
        request,
        plan.placements,
        plan.fills,
        given=frozenset(place.tag for place in begun) - gone,
        former=[place for place in begun if now.get(place.tag) != place or place.tag in gone],
    )


def _rules_of_places(layout: Layout) -> Iterator[Broken]:
    return _static(layout, tightness.travels(layout))


def _static(layout: Layout, travels: Travels) -> Iterator[Broken]:
    """The rules that look at places only, not at the order of steps."""
    contacts = bearing.resting(layout)
    rests_on = bearing.resting_pieces(layout, contacts)
    yield from posture.broken(layout)
    yield from room.broken(layout)
    yield from support.broken(layout)
    yield from bearing.broken(layout, contacts)
    yield from levels.broken(layout, rests_on)
    yield from stops.broken(layout, rests_on)
    yield from stops.last_on_broken(layout, rests_on)
    yield from weight.broken(layout)
    yield from tightness.broken(layout, travels)


def _loading(layout: Layout, plan: LoadPlan) -> Iterator[Broken]:
    """The rules that look at the truck step by step."""
    loaded = list(moments(layout, plan))
    yield from way_in.broken(layout, loaded)
    yield from when_loaded.broken(layout, loaded, never_aboard(layout, loaded))
    yield from tiers.broken(layout, plan)
