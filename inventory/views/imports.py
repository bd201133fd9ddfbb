"""Importing a list: look first, then store; and confirming what the list left open."""

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.decorators import branch_page
from inventory.errors import ImportFault, ImportRefusedError, InventoryError
from inventory.forms import ImportForm, KindForm
from inventory.models import Branch, ItemKind, User
from inventory.selectors import item_list
from inventory.services import (
    ImportOrder,
    inventory_import,
    inventory_preview,
    item_kind_confirm,
)

HELD_MAX_BYTES = 1_000_000


@branch_page("inventory.import")
def import_page(request: HttpRequest, branch: Branch) -> HttpResponse:
    """Upload a list; every fault is shown by row and column, and then nothing was stored.

    "Look first" stores nothing either; it says what would come of the list and holds the file
    in the page, signed, so that it need not be chosen again.
    """
    form = ImportForm(request.POST or None, request.FILES or None)
    shown: dict[str, object] = {"branch": branch, "form": form}
    if request.method != "POST" or not form.is_valid():
        status = 422 if request.method == "POST" else 200
        return render(request, "inventory/import.html", shown, status=status)
    order, data = _order(request, branch, form), form.data_bytes(settings.UPLOAD_LIMIT_BYTES)
    try:
        if "look" not in request.POST:
            return _imported(request, order, data)
        shown["preview"] = inventory_preview(order=order, data=data, now=timezone.now())
        if len(data) <= HELD_MAX_BYTES:
            shown["held"] = form.holding(data)
        return render(request, "inventory/import.html", shown)
    except ImportRefusedError as error:
        shown["faults"] = error.faults
    except InventoryError as error:
        shown["faults"] = [ImportFault(None, "", str(error))]
    return render(request, "inventory/import.html", shown, status=422)


def _order(request: HttpRequest, branch: Branch, form: ImportForm) -> ImportOrder:
    told = form.cleaned_data
    return ImportOrder(
        branch=branch,
        reference=told["shipment"],
        lot_number=told["lot"],
        label_color=told["color"],
        filename=told["file"].name if told["file"] else told["held"]["name"],
        by=request.user if isinstance(request.user, User) else None,
    )


def _imported(request: HttpRequest, order: ImportOrder, data: bytes) -> HttpResponse:
    batch, new = inventory_import(order=order, data=data, now=timezone.now())
    if new:
        messages.success(request, _("%(count)d pieces imported") % {"count": batch.lines})
    else:
        messages.info(request, _("This list was imported already; nothing was changed."))
    return redirect("inventory:shipment", order.branch.code, batch.shipment_id)


@require_POST
@branch_page("inventory.write")
def kind_confirm(request: HttpRequest, branch: Branch, item_id: int) -> HttpResponse:
    """Confirm or correct the kind of one piece."""
    items = item_list(branches=Branch.objects.filter(pk=branch.pk))
    item = get_object_or_404(items, pk=item_id)
    form = KindForm(request.POST)
    kind = ItemKind.objects.filter(code=form.data.get("kind", "") if form.is_valid() else "")
    if kind:
        item_kind_confirm(item=item, kind=kind[0])
    else:
        messages.error(request, _("The catalogue has no such kind; nothing was changed."))
    return redirect("inventory:shipment", branch.code, item.shipment_id)
