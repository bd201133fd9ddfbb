"""The forklift's day, and vaults that come from outside: announced, stowed, called off."""

from datetime import date, datetime
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_POST

from inventory.decorators import branch_page
from inventory.errors import InventoryError
from inventory.models import Branch
from inventory.services import arrival_announce, arrival_call_off, arrival_stow
from jobs.selectors.boards.forklift import (
    ForkliftBoard,
    arrival_expected,
    forklift_boards,
)
from jobs.services.arrivals import stows_settle_send
from jobs.views.asking import signed_in
from loading.pictures import lanes_svg


class ArrivalForm(forms.Form):
    """A vault that is expected on the page's day."""

    arrival_id = forms.UUIDField(widget=forms.HiddenInput)
    vault = forms.CharField(label=gettext_lazy("Vault"), max_length=20)
    at = forms.TimeField(
        label=gettext_lazy("Comes at"), widget=forms.TimeInput(attrs={"type": "time"})
    )


class StowForm(forms.Form):
    """The lane that a vault was put into."""

    lane = forms.CharField(max_length=20)


@require_GET
@login_required
def forklift(request: HttpRequest, day: date) -> HttpResponse:
    """What the forklift does on a day, in order, and what it does in the evening for the next."""
    boards = forklift_boards(user=request.user, day=day)
    shown = {
        "day": day,
        "boards": [(board, _map(board, f"lanes-{n}")) for n, board in enumerate(boards)],
        "form": ArrivalForm(initial={"arrival_id": uuid4()}),
    }
    return render(request, "jobs/forklift.html", shown)


def _map(board: ForkliftBoard, picture: str) -> str:
    """All lanes of the branch as they stand now."""
    if not board.yard.lanes:
        return ""
    own = _("vault that leaves today")
    return lanes_svg(board.yard, names=board.lanes, own=own, picture=picture)


@require_POST
@branch_page("inventory.write")
def announce(request: HttpRequest, branch: Branch, day: date) -> HttpResponse:
    """Expect a vault from outside."""
    form = ArrivalForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("A vault's code and the time are needed."))
        return redirect("jobs:forklift", day=day)
    told = form.cleaned_data
    try:
        arrival_announce(
            arrival_id=told["arrival_id"],
            branch=branch,
            code=told["vault"],
            expected_at=datetime.combine(day, told["at"], ZoneInfo(branch.time_zone)),
            now=timezone.now(),
            by=signed_in(request),
        )
    except InventoryError as error:
        messages.error(request, str(error))
    return redirect("jobs:forklift", day=day)


@require_POST
@branch_page("inventory.write")
def stow(request: HttpRequest, branch: Branch, day: date, arrival_id: UUID) -> HttpResponse:
    """The vault is there and stands in a lane."""
    form = StowForm(request.POST)
    arrival = arrival_expected(branch=branch, arrival_id=arrival_id)
    if arrival is None:  # pressed twice
        return redirect("jobs:forklift", day=day)
    name = form.cleaned_data["lane"] if form.is_valid() else ""
    lane = branch.lanes.filter(name=name).first()
    if lane is None:
        raise Http404
    try:
        arrival_stow(arrival=arrival, lane=lane, now=timezone.now())
        stows_settle_send(branch=branch)
        messages.success(
            request,
            _("%(vault)s stands in lane %(lane)s.")
            % {"vault": arrival.vault.code, "lane": lane.name},
        )
    except InventoryError as error:
        messages.error(request, str(error))
    return redirect("jobs:forklift", day=day)


@require_POST
@branch_page("inventory.write")
def call_off(_request: HttpRequest, branch: Branch, day: date, arrival_id: UUID) -> HttpResponse:
    """The vault does not come."""
    arrival = arrival_expected(branch=branch, arrival_id=arrival_id)
    if arrival is not None:
        arrival_call_off(arrival=arrival)
        stows_settle_send(branch=branch)
    return redirect("jobs:forklift", day=day)
