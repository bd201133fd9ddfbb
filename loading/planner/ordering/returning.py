"""What a plan sets aside goes back to its lanes, where the warehouse wants that."""

from __future__ import annotations

from dataclasses import replace

from loading.planner.checker import check_plan
from loading.planner.plan import LoadPlan
from loading.planner.pulls import steps_back, yard_of
from loading.planner.request import LoadRequest

LANE_STEPS = ("move", "pull", "store")


def with_returns(request: LoadRequest, plan: LoadPlan) -> LoadPlan:
    """The plan with the shifted vaults returned as soon as the lanes are not needed any more.

    The moves are counted in its figures. A request that does not ask for it keeps its plan.
    """
    back = steps_back(yard_of(request), plan.steps) if request.shifted_go_back else ()
    if not back:
        return plan
    done = len(request.progress.steps) if request.progress else 0
    last = max(n for n, step in enumerate(plan.steps, start=1) if step.do in LANE_STEPS)
    at = max(done, last)
    longer = replace(plan, steps=(*plan.steps[:at], *back, *plan.steps[at:]))
    report = check_plan(request, longer)
    if len(report.broken) > len(check_plan(request, plan).broken):
        return plan
    return replace(longer, figures=report.figures)
