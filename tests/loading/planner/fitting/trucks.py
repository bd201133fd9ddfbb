"""Small trucks for tests: pieces are dropped into them and the plan so far is judged."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from loading.planner.checker import Report, check_plan
from loading.planner.fitting import Judge, Standing
from loading.planner.plan import Fill, LeftOff, LoadPlan, Placement, Step
from loading.planner.request import LoadRequest, Progress, parse_request
from tests.loading.planner.scene import empty_request, item

# Rules that one piece more or less can break by where it stands.
RULES_OF_PLACES = frozenset({"R2", "R3", "R4", "R5", "R6", "R7", "R8", "R9", "R11", "R13"})


def request_of(*items: dict[str, Any], **keys: Any) -> LoadRequest:
    """A truck of 3 x 1 x 1 m with those pieces loose in the warehouse."""
    return parse_request({**empty_request(), "items": list(items), **keys})


def piece(tag: str, size_mm: tuple[int, int, int], **keys: Any) -> dict[str, Any]:
    return item(tag, size_mm, **keys)


def place(
    tag: str,
    at_mm: tuple[int, int, int],
    size_mm: tuple[int, int, int],
    *,
    tier: int = 1,
    level: str = "base",
    inside: str | None = None,
) -> Placement:
    return Placement(tag, tier, level, at_mm, size_mm, "standing", inside)


def progress_of(
    request: LoadRequest, placements: Sequence[Placement], fills: Sequence[Fill] = ()
) -> Progress:
    """Those pieces fetched and loaded in that order, then the fills; tiers closed as they end."""
    steps: list[Step] = []
    tier = 1
    for where in placements:
        while where.tier > tier:
            steps.append(Step("close", tier=tier))
            tier += 1
        steps += [Step("fetch", tag=where.tag), Step("load", tag=where.tag)]
    steps += [Step("fill", fill=fill.fill) for fill in fills]
    return Progress(tuple(steps), tuple(placements), tuple(fills))


def standing_of(request: LoadRequest, *placements: Placement) -> Standing:
    return Standing.of(request, progress_of(request, placements))


def judge_of(request: LoadRequest, *placements: Placement) -> Judge:
    return Judge(standing_of(request, *placements))


def report_of(request: LoadRequest, placements: Sequence[Placement]) -> Report:
    """What the checker says of a plan that loads just these, in that order, and ends there."""
    done = progress_of(request, placements)
    tags = {where.tag for where in placements}
    last = max((where.tier for where in placements), default=0)
    plan = LoadPlan(
        request=request.name,
        steps=(*done.steps, *((Step("close", tier=last),) if last else ())),
        placements=done.placements,
        left_off=tuple(LeftOff(i.tag, "not yet") for i in request.items if i.tag not in tags),
    )
    return check_plan(replace(request, progress=None), plan)


def broken_of(request: LoadRequest, placements: Sequence[Placement]) -> set[tuple[str, str]]:
    """The rules of places that are broken, with what they are about."""
    report = report_of(request, placements)
    return {(b.rule, b.subject) for b in report.broken if b.rule in RULES_OF_PLACES}
