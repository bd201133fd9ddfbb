"""The pages of the three who work on the floor: warehouse, loader, helper."""

from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from inventory.errors import NothingThere
from inventory.permissions import user_may
from jobs.forms import PointForm
from jobs.models import CrewMember
from jobs.selectors.access import job_demanded
from jobs.selectors.boards import (
    fits_board,
    helper_board,
    loader_board,
    warehouse_board,
)
from jobs.selectors.events import last_report
from jobs.selectors.forklift_turns import another_first
from jobs.selectors.tasks import TaskCard
from jobs.views.asking import job_id_of_phone, job_with_plan, page_or_part, signed_in, units
from jobs.views.notices import notices_unseen
from jobs.views.parts import loader_part, warehouse_lines
from loading.errors import NoSuchTier
from loading.selectors import plan_tier_picture, plan_warehouse_pictures

PAGE_OF_PART = {
    CrewMember.Part.LOADER: "jobs:loader",
    CrewMember.Part.WAREHOUSE: "jobs:warehouse",
}


@require_GET
@login_required
def mine(request: HttpRequest) -> HttpResponse:
    """On to the page of what one is: loader or warehouse on a job, dispatcher, or helper."""
    user = signed_in(request)
    board = helper_board(user=user, job=None)
    page = PAGE_OF_PART.get(CrewMember.Part(board.member.part)) if board.member else None
    if page and board.member and board.member.job.plan_id:
        return redirect(page, job_id=board.member.job_id)
    if board.member is None and user_may(user=user, branch=user.branch, action="job.dispatch"):
        return redirect("jobs:today")
    return redirect("jobs:my-task")


@require_GET
@login_required
def my_task(request: HttpRequest) -> HttpResponse:
    """What the person signed in is to do now, and what comes after it."""
    phone_job = job_id_of_phone(request)
    job = job_demanded(user=request.user, job_id=phone_job) if phone_job else None
    board = helper_board(user=signed_in(request), job=job)
    shown = {
        "board": board,
        "picture": _task_picture(request, board.card),
        "last": last_report(user=signed_in(request), job=board.job),
        "units": units(request),
        "job": board.job,
        "notices": notices_unseen(request, board.job),
    }
    return render(request, page_or_part(request, "my_task"), shown)


@require_GET
@login_required
def warehouse(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """What is pulled next and what is shifted for it, with the dock as it stands."""
    found, plan = job_with_plan(request, job_id)
    board = warehouse_board(job=found, plan=plan)
    pictures = plan_warehouse_pictures(plan=plan, units=units(request))
    shown = {
        "job": found,
        "board": board,
        "lines": warehouse_lines(request, job=found, plan=plan, board=board),
        "lanes": pictures.lanes,
        "turns": another_first(job=found, now=timezone.now()),
        "notices": notices_unseen(request, found),
        "last": last_report(user=signed_in(request), job=found),
        "units": units(request),
    }
    return render(request, page_or_part(request, "warehouse"), shown)


@require_GET
@login_required
def loader(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The tier in hand as seen from the doors, what is in, what goes in next."""
    found, plan = job_with_plan(request, job_id)
    wanted = request.GET.get("tier", "")
    board = loader_board(job=found, plan=plan, tier=int(wanted) if wanted.isdecimal() else None)
    if wanted and board.sheet is None:
        raise NothingThere(_("The plan has no such tier."))
    shown = {
        "job": found,
        "board": board,
        "part": loader_part(request, job=found, plan=plan, board=board),
        "notices": notices_unseen(request, found),
        "last": last_report(user=signed_in(request), job=found),
        "units": units(request),
    }
    return render(request, page_or_part(request, "loader"), shown)


@require_GET
@login_required
def fits(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """What fits into the gap at a point of the tier's picture: a part of the loader's page."""
    found, plan = job_with_plan(request, job_id)
    form = PointForm(request.GET)
    if not form.is_valid():
        return HttpResponseBadRequest(form.errors.as_text(), content_type="text/plain")
    point = form.cleaned_data
    board = fits_board(job=found, plan=plan, tier=point["tier"], y_mm=point["y"], z_mm=point["z"])
    return render(
        request, "jobs/_fits.html", {"job": found, "fits": board, "units": units(request)}
    )


def _task_picture(request: HttpRequest, card: TaskCard | None) -> str:
    if card is None or not card.has_picture:
        return ""
    tier, tag = card.task.tier or 1, card.task.tag or None
    try:
        return plan_tier_picture(
            plan=card.task.plan, tier=tier, units=units(request), highlight=tag
        )
    except NoSuchTier:
        return ""
