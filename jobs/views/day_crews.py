"""A day before its work: who is there, and the crews that are proposed from them."""

from datetime import date, datetime, time
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
from jobs.models import Shift, Skill
from jobs.selectors.access import job_demanded
from jobs.selectors.day_crews import proposed_day
from jobs.services import crew_accept, day_crews_ask, shift_put, skills_put
from jobs.views.asking import signed_in


def _clock() -> forms.TimeInput:
    return forms.TimeInput(attrs={"type": "time"})


class ShiftForm(forms.Form):
    """Somebody's hours by the branch's clock, with a break, and whether the forklift is driven."""

    username = forms.CharField(label=gettext_lazy("Sign-in name"), max_length=150)
    starts = forms.TimeField(label=gettext_lazy("From"), widget=_clock())
    ends = forms.TimeField(label=gettext_lazy("Until"), widget=_clock())
    break_from = forms.TimeField(label=gettext_lazy("Break from"), widget=_clock(), required=False)
    break_until = forms.TimeField(
        label=gettext_lazy("Break until"), widget=_clock(), required=False
    )
    forklift = forms.BooleanField(label=gettext_lazy("Drives the forklift"), required=False)


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
        "days": [(proposed_day(branch=one, day=day), _shifts(one, day)) for one in branches],
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
    person = User.objects.filter(username=request.POST.get("username", "")).first()
    if not form.is_valid() or person is None:
        messages.error(request, _("A sign-in name and both times are needed."))
        return redirect("jobs:day-crews", day=day)
    told = form.cleaned_data
    zone = ZoneInfo(branch.time_zone)

    def moment(at: time) -> datetime:
        return datetime.combine(day, at, zone)

    resting = told["break_from"] and told["break_until"]
    breaks = [(moment(told["break_from"]), moment(told["break_until"]))] if resting else []
    hours = moment(told["starts"]), moment(told["ends"])
    kinds = [Skill.Kind.FORKLIFT] if told["forklift"] else []
    try:
        now = timezone.now()
        shift_put(branch=branch, person=person, day=day, hours=hours, breaks=breaks, now=now)
        skills_put(branch=branch, person=person, kinds=kinds)
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


def _shifts(branch: Branch, day: date) -> list[Shift]:
    shifts = Shift.objects.filter(branch=branch, day=day)
    return list(shifts.select_related("person").prefetch_related("breaks"))
