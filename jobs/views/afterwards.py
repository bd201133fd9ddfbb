"""What is left to do when trucks have gone: vaults, leftovers, equipment; each with its button."""

from collections.abc import Callable, Mapping
from typing import Final

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from inventory.decorators import branch_page
from inventory.errors import InventoryError
from inventory.models import Branch, Item, Lane, Vault
from inventory.permissions import user_may
from inventory.selectors import lane_list
from jobs.errors import JobsError
from jobs.selectors.afterwards import branch_afterwards
from jobs.services.afterwards import (
    Told,
    equipment_came_back,
    piece_put,
    vault_mended,
    vault_stowed,
    vault_swept,
)
from jobs.services.taking_back import after_take_back
from jobs.views.asking import back, signed_in
from loading.errors import LoadingError
from loading.ledger import Equipment
from loading.models import Load


class AfterForm(forms.Form):
    """Under which UUID something is said to be done; the fields of each button are its own."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)
    mend = forms.CharField(max_length=200, required=False)
    place = forms.CharField(max_length=40, required=False)
    home = forms.IntegerField(min_value=0, max_value=100_000, required=False)
    wash = forms.IntegerField(min_value=0, max_value=100_000, required=False)
    lost = forms.IntegerField(min_value=0, max_value=100_000, required=False)
    reason = forms.CharField(max_length=200, required=False)
    event = forms.UUIDField(required=False)


@require_GET
@branch_page("inventory.read")
def afterwards(request: HttpRequest, branch: Branch) -> HttpResponse:
    """All that is left to do in a warehouse, and what was done lately."""
    shown = {
        "branch": branch,
        "work": branch_afterwards(branch=branch),
        "lanes": lane_list(branches=Branch.objects.filter(pk=branch.pk)),
        "may_write": user_may(user=request.user, branch=branch, action="inventory.write"),
    }
    return render(request, "jobs/afterwards.html", shown)


@require_POST
@branch_page("inventory.write")
def afterwards_done(request: HttpRequest, branch: Branch, what: str) -> HttpResponse:
    """Note that one of these things is done."""
    form = AfterForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Please look at the numbers again."))
        return redirect("jobs:afterwards", branch.code)
    told = Told(form.cleaned_data["uuid"], signed_in(request), timezone.now())
    try:
        _DOING[what](request, branch, form, told)
    except (InventoryError, LoadingError, JobsError) as error:
        messages.error(request, str(error))
    if "next" in request.POST:
        return redirect(back(request))
    return redirect("jobs:afterwards", branch.code)


def _swept(request: HttpRequest, branch: Branch, form: AfterForm, told: Told) -> None:
    vault_swept(vault=_vault(request, branch), mend=form.cleaned_data["mend"], told=told)


def _mended(request: HttpRequest, branch: Branch, _form: AfterForm, told: Told) -> None:
    vault_mended(vault=_vault(request, branch), told=told)


def _stowed(request: HttpRequest, branch: Branch, _form: AfterForm, told: Told) -> None:
    lane = get_object_or_404(Lane, branch=branch, name=request.POST.get("lane", ""))
    vault_stowed(vault=_vault(request, branch), lane=lane, told=told)


def _put(request: HttpRequest, branch: Branch, form: AfterForm, told: Told) -> None:
    items = Item.objects.filter(shipment__branch=branch).select_related("shipment__branch")
    item = get_object_or_404(items, pk=_number(request, "item"))
    piece_put(item=item, place=form.cleaned_data["place"], told=told)


def _equipment(request: HttpRequest, branch: Branch, form: AfterForm, told: Told) -> None:
    said = form.cleaned_data
    load = get_object_or_404(Load, branch=branch, pk=_number(request, "load"))
    equipment_came_back(
        load=load,
        equipment=_equipment_named(request),
        home=said["home"] or 0,
        wash=said["wash"] or 0,
        lost=said["lost"] or 0,
        reason=said["reason"].strip(),
        told=told,
    )


def _back(_request: HttpRequest, branch: Branch, form: AfterForm, told: Told) -> None:
    if form.cleaned_data["event"] is None:
        raise Http404
    after_take_back(branch=branch, event=form.cleaned_data["event"], told=told)


def _equipment_named(request: HttpRequest) -> Equipment:
    try:
        return Equipment(request.POST.get("equipment", ""))
    except ValueError:
        raise Http404 from None


def _vault(request: HttpRequest, branch: Branch) -> Vault:
    return get_object_or_404(
        Vault.objects.select_related("branch"), branch=branch, pk=_number(request, "vault")
    )


def _number(request: HttpRequest, name: str) -> int:
    said = request.POST.get(name, "")
    return int(said) if said.isdecimal() and len(said) < 18 else 0


_DOING: Final[Mapping[str, Callable[[HttpRequest, Branch, AfterForm, Told], None]]] = {
    "swept": _swept,
    "mended": _mended,
    "stowed": _stowed,
    "put": _put,
    "equipment": _equipment,
    "back": _back,
}
"""What can be said to be done, by the word in the address."""
