"""The pages of loading: the papers of one plan."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.models import User
from inventory.permissions import user_may
from loading.models import LoadPlan
from loading.pictures import tier_svg, truck_side_svg, truck_top_svg, warehouse_pictures
from loading.selectors import dock_report, plan_of, pull_sheet, road_sheet, tier_sheets


@login_required
def plan_page(request: HttpRequest, plan_id: int) -> HttpResponse:
    """Everything that is printed of a plan: truck, pull sheet, tiers with their pictures."""
    plan, units = _plan_demanded(request, plan_id), _units(request)
    load_request, planned = plan_of(plan=plan)
    tiers = [
        (sheet, tier_svg(load_request, planned, sheet.tier, units=units))
        for sheet in tier_sheets(plan=plan)
    ]
    shown = {
        "plan": plan,
        "planned": planned,
        "side": truck_side_svg(load_request, planned, units=units),
        "top": truck_top_svg(load_request, planned, units=units),
        "pull_sheet": pull_sheet(plan=plan),
        "dock": dock_report(plan=plan),
        "pictures": warehouse_pictures(load_request, planned, units=units),
        "tiers": tiers,
        "units": units,
    }
    return render(request, "loading/plan.html", shown)


@login_required
def road_page(request: HttpRequest, plan_id: int) -> HttpResponse:
    """What the road asks of a plan: weights, straps, and what would mend it."""
    plan = _plan_demanded(request, plan_id)
    shown = {"plan": plan, "road": road_sheet(plan=plan), "units": _units(request)}
    return render(request, "loading/road.html", shown)


def _plan_demanded(request: HttpRequest, plan_id: int) -> LoadPlan:
    stored = LoadPlan.objects.select_related("load__branch", "load__truck")
    plan = stored.filter(pk=plan_id).first()
    branch = plan.load.branch if plan else None
    if plan is None or not user_may(user=request.user, branch=branch, action="plan.read"):
        raise Http404
    return plan


def _units(request: HttpRequest) -> str:
    return request.user.units if isinstance(request.user, User) else ""
