"""The pages of loading: the papers of one plan."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.models import User
from inventory.permissions import user_may
from loading.models import LoadPlan
from loading.pictures import tier_svg, truck_side_svg, truck_top_svg, warehouse_pictures
from loading.selectors import dock_report, plan_of, pull_sheet, tier_sheets


@login_required
def plan_page(request: HttpRequest, plan_id: int) -> HttpResponse:
    """Everything that is printed of a plan: truck, pull sheet, tiers with their pictures."""
    stored = LoadPlan.objects.select_related("load__branch", "load__truck")
    plan = stored.filter(pk=plan_id).first()
    user = request.user
    if plan is None or not user_may(user=user, branch=plan.load.branch, action="plan.read"):
        raise Http404
    load_request, planned = plan_of(plan=plan)
    units = user.units if isinstance(user, User) else ""
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
