"""Going on with the former plan as if only what happened had been taken out of it."""

from collections import Counter
from collections.abc import Collection
from dataclasses import replace

from jobs.folding.state import State, piece_of
from jobs.replanning.goods import tag_now
from loading.planner.plan import LeftOff, LoadPlan, Step
from loading.planner.request import LoadRequest


def carried_over(request: LoadRequest, plan: LoadPlan, state: State) -> LoadPlan:
    """What remains of a plan for a request with progress; the checker says whether it holds.

    Pieces that are not there any more, and those that did not fit in it, are left out.
    """
    progress = request.progress
    begun = progress.steps if progress else ()
    given = {place.tag: place for place in progress.placements} if progress else {}
    planned = [
        replace(place, tag=tag_now(state, place.tag), inside=_now(state, place.inside))
        for place in plan.placements
    ]
    goes_in = {
        place.tag
        for place in planned
        if place.tag not in given
        and request.has_item(place.tag)
        and request.item(place.tag).leaves
        and not _did_not_fit(state, place.tag)
    }
    placements = [*given.values(), *(place for place in planned if place.tag in goes_in)]
    fills = {fill.fill: fill for fill in plan.fills}
    fills |= {fill.fill: fill for fill in progress.fills} if progress else {}
    return LoadPlan(
        request=request.name,
        steps=(*begun, *_rest(request, plan, state, begun, goes_in)),
        placements=tuple(placements),
        fills=tuple(fills.values()),
        left_off=_left_off(request, plan, {place.tag for place in placements}),
    )


def _now(state: State, tag: str | None) -> str | None:
    return None if tag is None else tag_now(state, tag)


def _did_not_fit(state: State, tag: str) -> bool:
    piece = piece_of(state, tag)
    return piece is not None and piece["does_not_fit"]


def _rest(
    request: LoadRequest,
    plan: LoadPlan,
    state: State,
    begun: Collection[Step],
    goes_in: Collection[str],
) -> list[Step]:
    left = Counter(begun)
    rest = []
    for planned in plan.steps:
        step = replace(planned, tag=tag_now(state, planned.tag)) if planned.tag else planned
        if left[step]:
            left[step] -= 1
        elif step.tag is None or (
            request.has_item(step.tag) and (step.do != "load" or step.tag in goes_in)
        ):
            rest.append(step)
    return rest


def _left_off(request: LoadRequest, plan: LoadPlan, placed: Collection[str]) -> tuple[LeftOff, ...]:
    reasons = {left.tag: left.reason for left in plan.left_off}
    return tuple(
        LeftOff(item.tag, reasons.get(item.tag) or "the plan has no place for it")
        for item in request.items
        if item.leaves and item.tag not in placed
    )
