"""The papers of a job's accepted plan: the pull sheet and the tiers."""

from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from inventory.errors import NothingThere
from jobs.selectors.boards import whole_board
from jobs.selectors.days import is_before_day
from jobs.selectors.lanes import job_forklift_day, job_lanes_shared
from jobs.views.asking import job_with_plan, units
from loading.planner.plan import LoadPlan, Size
from loading.planner.request import LoadRequest
from loading.selectors import (
    dock_report,
    dock_study_latest,
    plan_of,
    plan_tier_picture,
    plan_truck_pictures,
    plan_warehouse_pictures,
    tier_sheets,
)
from loading.views.plan_parts import plan_warehouse_part


@require_GET
@login_required
def pulls(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The pull sheet of the accepted plan."""
    found, plan = job_with_plan(request, job_id)
    shared = job_lanes_shared(job=found)
    shown = {
        "job": found,
        "plan": plan,
        "warehouse_part": plan_warehouse_part(plan=plan, units=units(request)),
        "dock": dock_report(plan=plan),
        "study": dock_study_latest(plan=plan),
        "after_loads": plan_of(plan=plan)[0].after_loads,
        "shared": shared,
        "forklift": job_forklift_day(job=found, shared=shared),
        "evening_to_come": is_before_day(job=found, now=timezone.now()),
        "pictures": plan_warehouse_pictures(plan=plan, units=units(request)),
        "units": units(request),
    }
    return render(request, "jobs/pulls.html", shown)


@require_GET
@login_required
def tier(request: HttpRequest, job_id: UUID, number: int = 1) -> HttpResponse:
    """One tier with its picture, and the way to the others."""
    found, plan = job_with_plan(request, job_id)
    sheets = {sheet.tier: sheet for sheet in tier_sheets(plan=plan)}
    if number not in sheets:
        raise NothingThere(_("The plan has no such tier."))
    shown = {
        "job": found,
        "plan": plan,
        "sheet": sheets[number],
        "sheets": sheets.values(),
        "picture": plan_tier_picture(plan=plan, tier=number, units=units(request)),
        "units": units(request),
    }
    return render(request, "jobs/tier.html", shown)


@require_GET
@login_required
def solid(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The load as a body that turns, piece by piece; the pieces come as data with the page."""
    found, plan = job_with_plan(request, job_id)
    load_request, planned = plan_of(plan=plan)
    side, top = plan_truck_pictures(plan=plan, units=units(request))
    shown = {
        "job": found,
        "board": whole_board(job=found, plan=plan),
        "units": units(request),
        "interior_mm": load_request.truck.interior_mm,
        "bodies": _bodies(load_request, planned),
        "side": side,
        "top": top,
    }
    return render(request, "jobs/solid.html", shown)


def _bodies(load_request: LoadRequest, planned: LoadPlan) -> list[dict[str, object]]:
    """Pieces and fills in the order in which they go in."""
    placed = {p.tag: p for p in planned.placements}
    fills = {f.fill: f for f in planned.fills}
    bodies: list[dict[str, object]] = []
    for step in planned.steps:
        if step.do == "load" and step.tag in placed:
            one = placed[step.tag]
            name = f"{step.tag} {load_request.item(step.tag).name}"
            bodies.append(_body(name, one.tier, one.at_mm, one.size_mm, "piece"))
        elif step.do == "fill" and step.fill in fills:
            fill = fills[step.fill]
            bodies.append(_body(f"F{step.fill}", fill.tier, fill.at_mm, fill.size_mm, "fill"))
    return bodies


def _body(name: str, tier: int, at_mm: Size, size_mm: Size, kind: str) -> dict[str, object]:
    return {"name": name, "tier": tier, "at": at_mm, "size": size_mm, "kind": kind}
