"""A day before its work: who is there, and the crews that are proposed from them."""

from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_POST

from inventory.decorators import branch_page
from inventory.models import Branch, User
from inventory.permissions import branches_where
from jobs.errors import JobsError
from jobs.models import Skill
from jobs.selectors.access import job_demanded
from jobs.selectors.day_crews import proposed_day
from jobs.selectors.shifts import drivers_of, shifts_of
from jobs.services import crew_accept, day_crews_ask, shift_put, skills_put
from jobs.views.asking import signed_in


def _clock() -> forms.TimeInput:
    return forms.TimeInput(attrs={"type": "time"})


class PersonForm(forms.Form):
    """Somebody by the name of signing in."""

    username = forms.CharField(label=gettext_lazy("Sign-in name"), max_length=150)

    def clean_username(self) -> User:
        """The person."""
        name = self.cleaned_data["username"]
        person = User.objects.filter(username=name).first()
        if person is None:
            raise forms.ValidationError(_("nobody signs in as %(name)s") % {"name": name})
        return person


class ShiftForm(PersonForm):
    """Somebody's hours by the branch's clock, with a break."""

    starts = forms.TimeField(label=gettext_lazy("From"), widget=_clock())
    ends = forms.TimeField(label=gettext_lazy("Until"), widget=_clock())
    break_from = forms.TimeField(label=gettext_lazy("Break from"), widget=_clock(), required=False)
    break_until = forms.TimeField(
        label=gettext_lazy("Break until"), widget=_clock(), required=False
    )

    def clean(self) -> dict[str, Any]:
        """Half a break is none."""
        told = super().clean() or {}
        if (told.get("break_from") is None) != (told.get("break_until") is None):
            raise forms.ValidationError(_("A break needs both of its times."))
        return told


class DriverForm(PersonForm):
    """Somebody who is certified for the forklift, or no more."""

    drives = forms.BooleanField(required=False)


class AcceptForm(forms.Form):
    """A job's proposed crew, or one of it; pinned or not."""

    job = forms.UUIDField()
    person = forms.IntegerField(min_value=1, required=False)
    pin = forms.BooleanField(required=False)


@require_GET
@login_required
def day_crews(request: HttpRequest, day: date) -> HttpResponse:
    """The shifts and the proposed crews of each branch where one may send people."""
    branches = branches_where(user=request.user, action="job.dispatch").order_by("code")
    shown = {
        "day": day,
        "form": ShiftForm(),
        "driver_form": PersonForm(auto_id="driver_%s"),
        "days": [
            (
                proposed_day(branch=one, day=day),
                shifts_of(branch=one, day=day),
                drivers_of(branch=one),
            )
            for one in branches
        ],
    }
    return render(request, "jobs/day_crews.html", shown)


@require_POST
@branch_page("job.dispatch")
def ask(request: HttpRequest, branch: Branch, day: date) -> HttpResponse:
    """Have crews proposed anew."""
    day_crews_ask(branch=branch, day=day, now=timezone.now())
    messages.success(request, _("Crews are being proposed; look again in a moment."))
    return redirect("jobs:day-crews", day=day)


@require_POST
@branch_page("job.dispatch")
def shift(request: HttpRequest, branch: Branch, day: date) -> HttpResponse:
    """Say from when until when somebody is there."""
    form = ShiftForm(request.POST)
    if not form.is_valid():
        return _refused(request, form, day)
    told = form.cleaned_data
    zone = ZoneInfo(branch.time_zone)

    def moment(at: time) -> datetime:
        return datetime.combine(day, at, zone)

    rests = told["break_from"] is not None
    try:
        shift_put(
            branch=branch,
            person=told["username"],
            day=day,
            hours=(moment(told["starts"]), moment(told["ends"])),
            breaks=[(moment(told["break_from"]), moment(told["break_until"]))] if rests else [],
            now=timezone.now(),
        )
    except JobsError as error:
        messages.error(request, str(error))
    return redirect("jobs:day-crews", day=day)


@require_POST
@branch_page("job.dispatch")
def driver(request: HttpRequest, branch: Branch, day: date) -> HttpResponse:
    """Say that somebody is certified for the forklift, or is no more."""
    form = DriverForm(request.POST)
    if not form.is_valid():
        return _refused(request, form, day)
    kinds = [Skill.Kind.FORKLIFT] if form.cleaned_data["drives"] else []
    try:
        skills_put(branch=branch, person=form.cleaned_data["username"], kinds=kinds)
    except JobsError as error:
        messages.error(request, str(error))
    return redirect("jobs:day-crews", day=day)


@require_POST
@login_required
def accept(request: HttpRequest, day: date) -> HttpResponse:
    """Put a proposed crew on its job, or one of it."""
    form = AcceptForm(request.POST)
    if not form.is_valid():
        raise Http404
    told = form.cleaned_data
    job = job_demanded(user=request.user, job_id=told["job"], action="job.dispatch")
    people = [get_object_or_404(User, pk=told["person"])] if told["person"] else None
    try:
        by, now = signed_in(request), timezone.now()
        crew_accept(job=job, people=people, pin=told["pin"], by=by, now=now)
        messages.success(request, _("They are on the job."))
    except JobsError as error:
        messages.error(request, str(error))
    return redirect("jobs:day-crews", day=day)


def _refused(request: HttpRequest, form: forms.Form, day: date) -> HttpResponse:
    """Back to the page, with what is wrong in each field."""
    for name, faults in form.errors.items():
        label = f"{form.fields[name].label}: " if name in form.fields else ""
        messages.error(request, label + " ".join(map(str, faults)))
    return redirect("jobs:day-crews", day=day)
