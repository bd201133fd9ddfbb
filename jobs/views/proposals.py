"""What the dispatcher does with proposals: accepts one, or pins a person to where they are."""

from datetime import date
from uuid import UUID

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.models import User
from jobs.errors import JobClosed, NotOnJob
from jobs.models import Job
from jobs.selectors.access import job_demanded
from jobs.services.proposals import crew_pin, crew_unpin, proposal_accept
from jobs.views.asking import signed_in


class ProposalForm(forms.Form):
    """A person's way from one job to another. The UUID was made with the page."""

    uuid = forms.UUIDField()
    person = forms.IntegerField(min_value=1)
    from_job = forms.UUIDField()
    to_job = forms.UUIDField()


class PinForm(forms.Form):
    """A person who stays on a job, or is free again."""

    person = forms.IntegerField(min_value=1)
    job = forms.UUIDField()


@require_POST
@login_required
def accept(request: HttpRequest, day: date) -> HttpResponse:
    """Send a person from one job to another, as was proposed."""
    form = ProposalForm(request.POST)
    if not form.is_valid():
        raise Http404
    told = form.cleaned_data
    from_job, to_job = (_job(request, told[name]) for name in ("from_job", "to_job"))
    try:
        proposal_accept(
            wish=told["uuid"],
            person=_person(told["person"]),
            from_job=from_job,
            to_job=to_job,
            by=signed_in(request),
            now=timezone.now(),
        )
        messages.success(request, _("Sent. Both crews see it."))
    except (NotOnJob, JobClosed) as error:
        messages.error(request, str(error))
    return redirect("jobs:times", day=day)


@require_POST
@login_required
def pin(request: HttpRequest, day: date) -> HttpResponse:
    """Keep a person on a job: nobody proposes to take him or her away."""
    job, person = _pinned(request)
    try:
        crew_pin(person=person, job=job, by=signed_in(request), now=timezone.now())
    except (NotOnJob, JobClosed) as error:
        messages.error(request, str(error))
    return redirect("jobs:times", day=day)


@require_POST
@login_required
def unpin(request: HttpRequest, day: date) -> HttpResponse:
    """Let a person go again where the day needs people."""
    job, person = _pinned(request)
    crew_unpin(person=person, job=job, now=timezone.now())
    return redirect("jobs:times", day=day)


def _pinned(request: HttpRequest) -> tuple[Job, User]:
    form = PinForm(request.POST)
    if not form.is_valid():
        raise Http404
    return _job(request, form.cleaned_data["job"]), _person(form.cleaned_data["person"])


def _job(request: HttpRequest, job_id: UUID) -> Job:
    return job_demanded(user=request.user, job_id=job_id, action="job.dispatch")


def _person(key: int) -> User:
    found = User.objects.filter(pk=key).first()
    if found is None:
        raise Http404
    return found
