"""Delivering some pieces at another stop, whether their truck is being loaded or not."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.forms import StopForm
from inventory.models import Item, Shipment
from inventory.permissions import user_must
from inventory.selectors import branch_visible
from jobs.services import stop_set
from jobs.views.asking import signed_in


@require_POST
@login_required
def stops(request: HttpRequest, shipment_id: int) -> HttpResponse:
    """Note the stop; what is being loaded is planned anew for it."""
    seen = Shipment.objects.filter(branch__in=branch_visible(user=request.user))
    shipment = get_object_or_404(seen.select_related("branch"), pk=shipment_id)
    user_must(user=request.user, branch=shipment.branch, action="inventory.write")
    form = StopForm(request.POST)
    items = form.pieces(shipment) if form.is_valid() else []
    if form.errors:
        for fault in form.errors.get_json_data().values():
            messages.error(request, " ".join(one["message"] for one in fault))
    else:
        _noted(request, form, items)
    return redirect("inventory:shipment", shipment.branch.code, shipment.pk)


def _noted(request: HttpRequest, form: StopForm, items: list[Item]) -> None:
    stop = form.cleaned_data["stop"]
    replanned = stop_set(items=items, stop=stop, by=signed_in(request), now=timezone.now())
    if replanned:
        told = ", ".join(job.load.reference for job in replanned)
        messages.success(request, _("Noted. The rest of %s is planned anew.") % told)
    else:
        messages.success(request, _("Noted. The next plan keeps to it."))
