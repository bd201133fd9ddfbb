"""Closing a job: what nobody has accounted for yet, and saying what became of it."""

from collections.abc import Mapping
from typing import Final
from uuid import UUID, uuid4

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_POST

from inventory.permissions import user_may
from jobs.errors import TagsOpen
from jobs.folding import EventKind
from jobs.models import Job
from jobs.selectors.access import job_demanded
from jobs.selectors.closing import job_closing
from jobs.services import events_tell, job_close
from jobs.services.events import REFUSED
from jobs.views.asking import device_of, signed_in
from loading.errors import EquipmentUnexplained, LoadingError
from loading.forms import CountForm, ExplainForm
from loading.services import equipment_count_record, equipment_move

SAID: Final[Mapping[str, EventKind]] = {
    "left": EventKind.PIECE_LEFT,
    "missing": EventKind.PIECE_MISSING,
    "customer": EventKind.PIECE_TAKEN_BY_CUSTOMER,
}


class AccountForm(forms.Form):
    """What became of some pieces; what stays behind does so for a reason."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)
    end = forms.ChoiceField(
        label=gettext_lazy("What became of them"),
        choices=(
            ("left", gettext_lazy("they stay behind")),
            ("missing", gettext_lazy("they are missing")),
            ("customer", gettext_lazy("the customer took them")),
        ),
    )
    note = forms.CharField(
        label=gettext_lazy("Why (no names, please)"), max_length=80, required=False
    )

    def clean(self) -> dict[str, object]:
        told = super().clean() or {}
        if told.get("end") == "left" and not told.get("note"):
            self.add_error("note", _("What stays behind needs a reason."))
        return told

    def told(self, tags: list[str]) -> list[dict[str, object]]:
        """One event for each piece."""
        kind = SAID[self.cleaned_data["end"]]
        more = {} if kind is EventKind.PIECE_MISSING else {"note": self.cleaned_data["note"]}
        return [{"kind": kind.value, "payload": {"tag": tag, **more}} for tag in tags]


@require_GET
@login_required
def closing(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """What is open, what is settled, the truck's equipment; and closing the job."""
    return _shown(request, _job(request, job_id))


@require_POST
@login_required
def account(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Say what became of the pieces that are ticked."""
    found = job_demanded(user=request.user, job_id=job_id, action="event.record")
    form, tags = AccountForm(request.POST), request.POST.getlist("tag")
    if not form.is_valid():
        return _shown(request, found, account_form=form)
    if not tags:
        form.add_error(None, _("Tick the pieces first."))
        return _shown(request, found, account_form=form)
    answers = events_tell(
        job=found,
        told=form.told(tags),
        uuid=form.cleaned_data["uuid"],
        actor=signed_in(request),
        device=device_of(request),
        now=timezone.now(),
    )
    for answer in answers:
        if answer.answer == REFUSED:
            messages.error(request, answer.detail or answer.code)
    return redirect("jobs:closing", job_id)


@require_POST
@login_required
def count(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Note what was counted in the truck."""
    found = job_demanded(user=request.user, job_id=job_id, action="event.record")
    form = CountForm(request.POST)
    if not form.is_valid():
        return _shown(request, found, count_form=form)
    try:
        equipment_count_record(
            load=found.load, **form.told(), now=timezone.now(), by=signed_in(request)
        )
    except LoadingError as error:
        form.add_error(None, str(error))
        return _shown(request, found, count_form=form)
    return redirect("jobs:closing", job_id)


@require_POST
@login_required
def explain(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Say where equipment of the truck went: home, to the wash, onto other goods, lost."""
    found = job_demanded(user=request.user, job_id=job_id, action="event.record")
    form = ExplainForm(request.POST)
    if not form.is_valid():
        return _shown(request, found, explain_form=form)
    try:
        equipment_move(
            branch=found.branch,
            **form.told(found.load),
            now=timezone.now(),
            by=signed_in(request),
        )
    except LoadingError as error:
        form.add_error(None, str(error))
        return _shown(request, found, explain_form=form)
    return redirect("jobs:closing", job_id)


@require_POST
@login_required
def close(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Close the job; while something is open the page says what."""
    found = job_demanded(user=request.user, job_id=job_id, action="job.write")
    try:
        job_close(job=found, now=timezone.now())
    except (TagsOpen, EquipmentUnexplained) as error:
        messages.error(request, str(error))
        return _shown(request, found, status=409)
    messages.success(request, _("The job is closed."))
    return redirect("jobs:closing", job_id)


def _job(request: HttpRequest, job_id: UUID) -> Job:
    return job_demanded(user=request.user, job_id=job_id)


def _shown(
    request: HttpRequest,
    found: Job,
    *,
    status: int = 200,
    account_form: AccountForm | None = None,
    count_form: CountForm | None = None,
    explain_form: ExplainForm | None = None,
) -> HttpResponse:
    wrong = account_form or count_form or explain_form
    shown = {
        "job": found,
        "closing": job_closing(job=found),
        "account_form": account_form
        or AccountForm(initial={"uuid": uuid4()}, auto_id="account-%s"),
        "count_form": count_form or CountForm(initial={"uuid": uuid4()}, auto_id="count-%s"),
        "explain_form": explain_form or ExplainForm(initial={"uuid": uuid4()}, auto_id="move-%s"),
        "may": {
            "tell": user_may(user=request.user, branch=found.branch, action="event.record"),
            "close": user_may(user=request.user, branch=found.branch, action="job.write"),
        },
    }
    return render(request, "jobs/closing.html", shown, status=422 if wrong else status)
