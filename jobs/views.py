"""The pages of the floor: the day, a job with its papers, and what a person is to do next."""

from datetime import date
from typing import cast
from uuid import UUID, uuid4

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from inventory.models import User
from inventory.permissions import user_may
from jobs.errors import NotOfBranch
from jobs.folding.state import State, pads_in_truck
from jobs.forms import CrewForm, PlanForm, ReportForm, UndoForm
from jobs.models import Event, Job
from jobs.selectors.access import job_demanded
from jobs.selectors.days import day_jobs, day_of, job_line
from jobs.selectors.events import last_report
from jobs.selectors.tasks import TaskCard, job_tasks, task_in_hand
from jobs.services import crew_member_put, event_undo, job_accept_plan, job_plan, task_report
from jobs.services.events import REFUSED, UUID_REUSED
from loading.models import LoadPlan
from loading.pictures import tier_svg, warehouse_pictures
from loading.selectors import dock_report, plan_of, pull_sheet, tier_sheets

LOOK_AGAIN_S = 2
LOOKS = 3
SEED = 1
BUDGET_S = 10


@require_GET
@login_required
def day(request: HttpRequest, day: date | None = None) -> HttpResponse:
    """The jobs of a day, today's without one."""
    shown = day or day_of(user=request.user, now=timezone.now())
    lines = day_jobs(user=request.user, day=shown)
    return render(request, "jobs/day.html", {"day": shown, "lines": lines})


@require_GET
@login_required
def job(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """How far a job is, its crew, the versions of its plan, what went wrong."""
    found = job_demanded(user=request.user, job_id=job_id)
    return render(request, "jobs/job.html", _job_context(request, found, CrewForm()))


@require_GET
@login_required
def tasks(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """All tasks of a job in tier order, with who has them."""
    found = job_demanded(user=request.user, job_id=job_id)
    rows = job_tasks(job=found)
    return render(request, "jobs/tasks.html", {"job": found, "tasks": rows})


@require_GET
@login_required
def pulls(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The pull sheet of the accepted plan."""
    found, plan = _with_plan(request, job_id)
    units = _units(request)
    shown = {
        "job": found,
        "plan": plan,
        "sheet": pull_sheet(plan=plan),
        "dock": dock_report(plan=plan),
        "pictures": warehouse_pictures(*plan_of(plan=plan), units=units),
        "units": units,
    }
    return render(request, "jobs/pulls.html", shown)


@require_GET
@login_required
def tier(request: HttpRequest, job_id: UUID, number: int = 1) -> HttpResponse:
    """One tier with its picture, and the way to the others."""
    found, plan = _with_plan(request, job_id)
    load_request, planned = plan_of(plan=plan)
    sheets = {sheet.tier: sheet for sheet in tier_sheets(plan=plan)}
    if number not in sheets:
        raise Http404(_("The plan has no such tier."))
    shown = {
        "job": found,
        "plan": plan,
        "sheet": sheets[number],
        "sheets": sheets.values(),
        "picture": tier_svg(load_request, planned, number, units=_units(request)),
        "units": _units(request),
    }
    return render(request, "jobs/tier.html", shown)


@require_POST
@login_required
def accept(request: HttpRequest, job_id: UUID, plan_id: int) -> HttpResponse:
    """Take on a version of the plan."""
    found = job_demanded(user=request.user, job_id=job_id, action="job.write")
    plan = get_object_or_404(LoadPlan, pk=plan_id)
    job_accept_plan(job=found, plan=plan, by=_signed_in(request), now=timezone.now())
    messages.success(request, _("The plan is accepted."))
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
        requested_by=_signed_in(request),
        run_id=form.cleaned_data["uuid"],
    )
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


@require_GET
@login_required
def my_task(request: HttpRequest) -> HttpResponse:
    """What the person signed in is to do now. Just after a report it looks again by itself."""
    card = task_in_hand(user=_signed_in(request))
    response = render(request, "jobs/my_task.html", _task_context(request, card, ReportForm()))
    looked = request.GET.get("looked", "")
    if card is None and looked.isdecimal() and int(looked[:4]) < LOOKS:
        response["Refresh"] = f"{LOOK_AGAIN_S}; url={request.path}?looked={int(looked) + 1}"
    return response


@require_POST
@login_required
def report(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """A button of a task: the event, then on to the next task."""
    found = job_demanded(user=request.user, job_id=job_id, action="event.record")
    task = get_object_or_404(found.tasks.select_related("job"), pk=task_id)
    user, form = _signed_in(request), ReportForm(request.POST)
    if not form.is_valid():
        context = _task_context(request, task_in_hand(user=user), form)
        return render(request, "jobs/my_task.html", context, status=422)
    answer = task_report(
        task=task,
        said=form.cleaned_data["said"],
        uuid=str(form.cleaned_data["uuid"]),
        counts=form.counts(),
        note=form.cleaned_data["note"],
        actor=user,
        now=timezone.now(),
    )
    if answer.answer == REFUSED:
        messages.error(request, _refusal(answer.code, answer.detail))
    return redirect(f"{reverse('jobs:my-task')}?looked=0")


@require_POST
@login_required
def undo(request: HttpRequest, event_uuid: UUID) -> HttpResponse:
    """Take back one's own report, made by mistake."""
    form = UndoForm(request.POST)
    event = get_object_or_404(Event, uuid=event_uuid, actor=_signed_in(request))
    found = get_object_or_404(Job, pk=event.stream.key)
    if form.is_valid():
        event_undo(
            job=found,
            event=event,
            uuid=str(form.cleaned_data["uuid"]),
            actor=_signed_in(request),
            now=timezone.now(),
        )
        messages.success(request, _("Taken back."))
    return redirect(f"{reverse('jobs:my-task')}?looked=0")


def _refusal(code: str, detail: str) -> str:
    if code == UUID_REUSED:
        return _("This was reported already.")
    return _("This could not be recorded: %(why)s") % {"why": detail or code}


def _with_plan(request: HttpRequest, job_id: UUID) -> tuple[Job, LoadPlan]:
    found = job_demanded(user=request.user, job_id=job_id)
    if found.plan is None:
        raise Http404(_("This job has no accepted plan yet."))
    return found, found.plan


def _job_context(request: HttpRequest, found: Job, form: CrewForm) -> dict[str, object]:
    may = {
        "write": user_may(user=request.user, branch=found.branch, action="job.write"),
        "plan": user_may(user=request.user, branch=found.branch, action="plan.make"),
        "dispatch": user_may(user=request.user, branch=found.branch, action="job.dispatch"),
    }
    state = getattr(found, "state", None)
    return {
        "line": job_line(job=found),
        "job": found,
        "plans": found.load.plans.order_by("-version"),
        "run": found.load.runs.first(),
        "uuid": uuid4(),
        "budget_s": BUDGET_S,
        "may": may,
        "form": form,
        "state": state.state if state else None,
        "pads": pads_in_truck(cast(State, state.state)) if state else 0,
    }


def _task_context(
    request: HttpRequest, card: TaskCard | None, form: ReportForm
) -> dict[str, object]:
    picture = ""
    if card is not None and card.has_picture:
        picture = tier_svg(
            card.request,
            card.planned,
            card.task.tier or 1,
            highlight=card.task.tag or None,
            units=_units(request),
        )
    return {
        "card": card,
        "form": form,
        "picture": picture,
        "uuid": uuid4(),
        "problem_uuid": uuid4(),
        "undo_uuid": uuid4(),
        "last": last_report(user=_signed_in(request)),
        "units": _units(request),
    }


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


def _signed_in(request: HttpRequest) -> User:
    assert isinstance(request.user, User)
    return request.user


def _units(request: HttpRequest) -> str:
    return _signed_in(request).units
