"""Reporting for others: what a crew has in hand, and a printed sheet typed in afterwards."""

from datetime import datetime
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods

from jobs.forms import BaseSheetFormSet, SheetForm, sheet_lines
from jobs.models import Job
from jobs.selectors.access import job_demanded
from jobs.selectors.boards import SheetBoard, hands_board, sheet_board, sheet_tasks
from jobs.selectors.events import last_report
from jobs.services import EventAnswer
from jobs.services.events import REFUSED
from jobs.services.sheets import SheetLine, sheet_record
from jobs.views.asking import device_of, page_or_part, signed_in, units


@require_GET
@login_required
def hands(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The tasks in the hands of the crew; whoever holds the phone reports for them."""
    found = job_demanded(user=request.user, job_id=job_id)
    shown = {
        "job": found,
        "board": hands_board(job=found, now=timezone.now()),
        "last": last_report(user=signed_in(request), job=found),
        "units": units(request),
    }
    return render(request, page_or_part(request, "hands"), shown)


@require_http_methods(["GET", "POST"])
@login_required
def sheet(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """A part of the printed sheet, to type in what was ticked on it and when."""
    wanted = request.GET.get("part", "")
    part = int(wanted) if wanted.isdecimal() else None
    if request.method == "GET":
        found = job_demanded(user=request.user, job_id=job_id)
        board = sheet_board(job=found, part=part)
        return _sheet_shown(request, found, board, SheetForm(initial={"day": found.day}), None)
    found = job_demanded(user=request.user, job_id=job_id, action="event.record")
    form, lines = SheetForm(request.POST), sheet_lines(request.POST)
    ticked = _ticked(found, form, lines)
    if ticked is None:
        board = sheet_board(job=found, part=part)
        return _sheet_shown(request, found, board, form, lines)
    answers = sheet_record(
        job=found,
        lines=ticked,
        actor=signed_in(request),
        device=device_of(request),
        now=timezone.now(),
    )
    _answered(request, answers)
    return redirect(f"{reverse('jobs:sheet', args=[job_id])}?part={wanted}")


def _ticked(job: Job, form: SheetForm, lines: BaseSheetFormSet) -> list[SheetLine] | None:
    """The lines that were ticked, or None: then form and lines say what is wrong."""
    if not (form.is_valid() and lines.is_valid()):
        return None
    zone, now = ZoneInfo(job.branch.time_zone), timezone.now()
    ticked = lines.ticked()
    tasks = sheet_tasks(job=job, ids=[one.cleaned_data["task"] for one in ticked])
    found = []
    for one in ticked:
        told = one.cleaned_data
        done_at = datetime.combine(form.cleaned_data["day"], told["at"], zone)
        task = tasks.get(told["task"])
        if done_at > now:
            one.add_error("at", _("This time has not come yet."))
        elif task is None:
            form.add_error(None, _("A line is of a task that this job does not have."))
        else:
            found.append(SheetLine(task, told["uuid"], done_at, told["pads"]))
    if not ticked:
        form.add_error(None, _("Tick the lines that are done first."))
    return found if ticked and len(found) == len(ticked) else None


def _answered(request: HttpRequest, answers: list[EventAnswer]) -> None:
    refused = [answer for answer in answers if answer.answer == REFUSED]
    told = len(answers) - len(refused)
    if told:
        said = ngettext("%(n)d line is recorded.", "%(n)d lines are recorded.", told)
        messages.success(request, said % {"n": told})
    for answer in refused:
        said = _("This could not be recorded: %(why)s")
        messages.error(request, said % {"why": answer.detail or answer.code})


def _sheet_shown(
    request: HttpRequest,
    job: Job,
    board: SheetBoard,
    form: SheetForm,
    lines: BaseSheetFormSet | None,
) -> HttpResponse:
    """The part as it stands; with `lines`, what was typed and is wrong is shown on it again."""
    typed = {str(one["task"].value()): one for one in lines.forms} if lines else {}
    rows = [(line, typed.get(str(line.task.id)), uuid4()) for line in board.lines]
    shown = {"job": job, "board": board, "form": form, "rows": rows}
    return render(request, "jobs/sheet.html", shown, status=422 if lines else 200)
