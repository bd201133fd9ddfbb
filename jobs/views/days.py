"""The dispatcher's pages: the day, a job with its crew and plans, all its tasks."""

from datetime import date
from uuid import UUID, uuid4

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from inventory.models import User
from inventory.permissions import user_at
from jobs.errors import NotOfBranch, PlanHoldsNoLonger
from jobs.forms import CrewForm, PlanForm, VersionsForm
from jobs.models import Job
from jobs.selectors.access import job_demanded
from jobs.selectors.boards import day_board, job_board, tasks_board, versions_board
from jobs.selectors.days import day_of
from jobs.services import crew_member_put, job_plan, job_plan_take
from jobs.views.asking import page_or_part, signed_in, units
from loading.errors import RunFinished
from loading.models import LoadPlan
from loading.selectors import plan_warehouse_pictures
from loading.selectors.equipment import load_equipment
from loading.services import plan_run_accept_early, plan_run_cancel

SEED = 1
BUDGET_S = 10


@require_GET
@login_required
def day(request: HttpRequest, day: date | None = None) -> HttpResponse:
    """The jobs of a day, today's without one."""
    now = timezone.now()
    shown = day or day_of(user=request.user, now=now)
    board = day_board(user=request.user, day=shown, now=now)
    return render(request, page_or_part(request, "day"), {"day": shown, "lines": board})


@require_GET
@login_required
def job(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """How far a job is, its crew, the versions of its plan, what went wrong."""
    found = job_demanded(user=request.user, job_id=job_id)
    return render(request, page_or_part(request, "job"), _job_context(request, found, CrewForm()))


@require_GET
@login_required
def tasks(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """All tasks of a job in tier order, with who has them."""
    found = job_demanded(user=request.user, job_id=job_id)
    return render(request, "jobs/tasks.html", {"job": found, "lines": tasks_board(job=found)})


@require_GET
@login_required
def versions(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Two versions of the plan side by side."""
    found = job_demanded(user=request.user, job_id=job_id)
    form = VersionsForm(request.GET)
    if not form.is_valid():
        return HttpResponseBadRequest(form.errors.as_text(), content_type="text/plain")
    board = versions_board(job=found, **form.cleaned_data)
    return render(request, "jobs/versions.html", {"job": found, "board": board})


@require_POST
@login_required
def accept(request: HttpRequest, job_id: UUID, plan_id: int) -> HttpResponse:
    """Take on a version of the plan."""
    found = job_demanded(user=request.user, job_id=job_id, action="job.write")
    plan = get_object_or_404(LoadPlan, pk=plan_id)
    try:
        job_plan_take(job=found, plan=plan, by=signed_in(request), now=timezone.now())
        messages.success(request, _("The plan is accepted."))
    except PlanHoldsNoLonger as error:
        messages.error(request, str(error))
    return redirect("jobs:job", job_id=job_id)


@require_POST
@login_required
def plan(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Ask for a plan; the job's page shows how far it is."""
    found = job_demanded(user=request.user, job_id=job_id, action="plan.make")
    form = PlanForm(request.POST)
    if not form.is_valid():
        return HttpResponseBadRequest(form.errors.as_text(), content_type="text/plain")
    job_plan(
        job=found,
        seed=SEED,
        budget_s=form.cleaned_data["budget_s"],
        requested_by=signed_in(request),
        run_id=form.cleaned_data["uuid"],
    )
    return redirect("jobs:job", job_id=job_id)


@require_POST
@login_required
def plan_end(request: HttpRequest, job_id: UUID, run_id: UUID) -> HttpResponse:
    """End a running plan, with the best found so far or without any."""
    found = job_demanded(user=request.user, job_id=job_id, action="plan.make")
    run = get_object_or_404(found.load.runs, pk=run_id)
    end = plan_run_accept_early if request.POST.get("end") == "best" else plan_run_cancel
    try:
        end(run_id=run.pk, now=timezone.now())
    except RunFinished:
        messages.info(request, _("The plan had been made already."))
    return redirect("jobs:job", job_id=job_id)


@require_POST
@login_required
def crew(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Put somebody on the crew."""
    found = job_demanded(user=request.user, job_id=job_id, action="job.dispatch")
    form = CrewForm(request.POST)
    if form.is_valid() and _put_on_crew(found, form):
        return redirect("jobs:job", job_id=job_id)
    return render(request, "jobs/job.html", _job_context(request, found, form), status=422)


def _job_context(request: HttpRequest, found: Job, form: CrewForm) -> dict[str, object]:
    user_may = user_at(user=request.user, branch=found.branch)
    may = {
        "write": user_may("job.write"),
        "plan": user_may("plan.make"),
        "dispatch": user_may("job.dispatch"),
    }
    return {
        "board": job_board(job=found, now=timezone.now()),
        "job": found,
        "pads_missing": load_equipment(load=found.load).pads_missing,
        "dock_picture": _dock_picture(request, found),
        "uuid": uuid4(),
        "budget_s": BUDGET_S,
        "may": may,
        "form": form,
    }


def _dock_picture(request: HttpRequest, found: Job) -> str:
    """The dock over the steps of the accepted plan."""
    if found.plan is None:
        return ""
    return plan_warehouse_pictures(plan=found.plan, units=units(request)).dock


def _put_on_crew(found: Job, form: CrewForm) -> bool:
    user = User.objects.filter(username=form.cleaned_data["username"]).first()
    try:
        if user is not None:
            crew_member_put(job=found, user=user, part=form.cleaned_data["part"])
            return True
    except NotOfBranch:
        pass
    form.add_error("username", _("Nobody of that name works at this branch."))
    return False
