"""What another order of the pulls or a larger dock would give: asking, and the answer."""

from uuid import uuid4

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from inventory.models import User
from inventory.permissions import user_may, user_must
from loading.forms import StudyForm
from loading.models import DockStudy, LoadPlan
from loading.selectors import dock_report, dock_study_latest
from loading.services import dock_study_create


@require_http_methods(["GET", "POST"])
@login_required
def study_page(request: HttpRequest, plan_id: int) -> HttpResponse:
    """The newest answer, and the button that asks; looks again while it is worked out."""
    plan = LoadPlan.objects.select_related("load__branch", "run").filter(pk=plan_id).first()
    if plan is None or not user_may(user=request.user, branch=plan.load.branch, action="plan.read"):
        raise Http404
    if request.method == "POST":
        return _ask(request, plan)
    asked = DockStudy.objects.filter(plan=plan).first()
    # A load knows no job; the page's buttons and links are the job's.
    job = getattr(plan.load, "job", None)
    may_choose = user_may(user=request.user, branch=plan.load.branch, action="job.write")
    shown = {
        "plan": plan,
        "branch": plan.load.branch,
        "job": job,
        "choose_for": job if job is not None and may_choose and job.status != "closed" else None,
        "asked": asked,
        "study": dock_study_latest(plan=plan),
        "dock": dock_report(plan=plan),
        "form": StudyForm(initial={"study_id": uuid4()}),
        "may_ask": user_may(user=request.user, branch=plan.load.branch, action="plan.make"),
        "units": request.user.units if isinstance(request.user, User) else "",
    }
    answer = render(request, "loading/study.html", shown)
    if asked is not None and not asked.is_finished:
        answer["Refresh"] = "3"
    return answer


def _ask(request: HttpRequest, plan: LoadPlan) -> HttpResponse:
    user_must(user=request.user, branch=plan.load.branch, action="plan.make")
    form = StudyForm(request.POST)
    if not form.is_valid():
        return HttpResponse(form.errors.as_text(), status=422, content_type="text/plain")
    dock_study_create(
        study_id=form.cleaned_data["study_id"],
        plan=plan,
        now=timezone.now(),
        by=request.user if isinstance(request.user, User) else None,
    )
    return redirect("loading:study", plan.pk)
