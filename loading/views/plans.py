"""The pages of loading: the papers of one plan."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import get_language, gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_POST

from inventory.models import Sheet, User
from inventory.permissions import user_may, user_must
from loading.models import LoadPlan
from loading.papers import PaperForm
from loading.selectors import (
    dock_report,
    dock_study_latest,
    plan_may_drive,
    plan_of,
    plan_second_trips,
    plan_truck_pictures,
    plan_warehouse_pictures,
)
from loading.services import load_second_trip, plan_paper_demand
from loading.views.pdf import pdf_response
from loading.views.plan_parts import plan_road_part, plan_tiers_part, plan_warehouse_part

PAPER_NAMES = {
    "pull-sheet": _("Pull sheet"),
    "tier-sheets": _("Tier sheets"),
    "load-summary": _("Load summary"),
    "unload-list": _("Unload list"),
    "check-off": _("Check-off sheet"),
    "pad-slip": _("Pad slip"),
    "road-sheet": _("Road sheet"),
}


@login_required
def plan_page(request: HttpRequest, plan_id: int) -> HttpResponse:
    """Everything that is printed of a plan: truck, pull sheet, tiers with their pictures."""
    plan, units = _plan_demanded(request, plan_id), _units(request)
    _, planned = plan_of(plan=plan)
    side, top = plan_truck_pictures(plan=plan, units=units)
    shown = {
        "plan": plan,
        "branch": plan.load.branch,
        "planned": planned,
        "may_drive": plan_may_drive(plan=plan),
        "side": side,
        "top": top,
        "warehouse_part": plan_warehouse_part(plan=plan, units=units),
        "dock": dock_report(plan=plan),
        "study": dock_study_latest(plan=plan),
        "pictures": plan_warehouse_pictures(plan=plan, units=units),
        "tiers_part": plan_tiers_part(plan=plan, units=units),
        "units": units,
        "second_trips": plan_second_trips(plan=plan),
        "may_split": user_may(user=request.user, branch=plan.load.branch, action="plan.make"),
    }
    return render(request, "loading/plan.html", shown)


@login_required
def papers_page(request: HttpRequest, plan_id: int) -> HttpResponse:
    """The papers of a plan, to print on either sheet."""
    plan = _plan_demanded(request, plan_id)
    shown = {
        "plan": plan,
        "branch": plan.load.branch,
        "may_drive": plan_may_drive(plan=plan),
        "papers": PAPER_NAMES.items(),
        "sheets": Sheet.choices,
    }
    return render(request, "loading/papers.html", shown)


@login_required
def paper(request: HttpRequest, plan_id: int, kind: str) -> HttpResponse:
    """One paper as PDF. A long one is made by a worker meanwhile: the page looks again."""
    plan = _plan_demanded(request, plan_id)
    sheet = request.GET.get("sheet", "")
    made = plan_paper_demand(
        plan=plan,
        kind=kind,
        form=PaperForm(
            sheet=sheet if sheet in Sheet.values else plan.load.branch.paper,
            units=_units(request),
        ),
        language=get_language() or "en",
        now=timezone.now(),
    )
    if made.content is None:
        shown = {"plan": plan, "name": PAPER_NAMES[kind]}
        waits = render(request, "loading/paper_waits.html", shown, status=202)
        waits["Refresh"] = "1"
        return waits
    return pdf_response(bytes(made.content), f"{plan.load.reference}-{plan.version}-{kind}")


def _plan_demanded(request: HttpRequest, plan_id: int) -> LoadPlan:
    """The plan, for who may read it; all others find nothing."""
    stored = LoadPlan.objects.select_related(
        "load__branch", "load__truck", "load__release__shipment"
    )
    # What is shown of the documents is kept: see `plan_of`.
    plan = stored.defer("request_document", "document").filter(pk=plan_id).first()
    if plan is None or not user_may(user=request.user, branch=plan.load.branch, action="plan.read"):
        raise Http404
    return plan


def _units(request: HttpRequest) -> str:
    return request.user.units if isinstance(request.user, User) else ""


@login_required
def road_page(request: HttpRequest, plan_id: int) -> HttpResponse:
    """What the road asks of a plan: weights, straps, and what would mend it."""
    plan = _plan_demanded(request, plan_id)
    shown = {
        "plan": plan,
        "branch": plan.load.branch,
        "road_part": plan_road_part(plan=plan, units=_units(request)),
    }
    return render(request, "loading/road.html", shown)


@require_POST
@login_required
def plan_trip(request: HttpRequest, plan_id: int) -> HttpResponse:
    """Release what the load's newest plan leaves off for a second trip."""
    plan = _plan_demanded(request, plan_id)
    user_must(user=request.user, branch=plan.load.branch, action="plan.make")
    made = load_second_trip(load=plan.load, now=timezone.now())
    told = ", ".join(release.reference for release in made)
    messages.success(request, gettext("Released for a second trip as %s.") % told)
    return redirect("loading:plan", plan.pk)
