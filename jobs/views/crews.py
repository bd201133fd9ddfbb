"""Reporting for others: what a crew has in hand, and a printed sheet typed in afterwards."""

from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.selectors.access import job_demanded
from jobs.selectors.boards import hands_board
from jobs.selectors.events import last_report
from jobs.views.asking import signed_in, units


@require_GET
@login_required
def hands(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The tasks in the hands of the crew; whoever holds the phone reports for them."""
    found = job_demanded(user=request.user, job_id=job_id)
    shown = {
        "job": found,
        "board": hands_board(job=found, now=timezone.now()),
        "last": last_report(user=signed_in(request)),
        "units": units(request),
    }
    part = getattr(request, "htmx", False)
    return render(request, "jobs/_hands.html" if part else "jobs/hands.html", shown)
