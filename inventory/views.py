"""The pages of the inventory: importing a list, and confirming what it left open."""

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.decorators import branch_page
from inventory.errors import ImportRefusedError, InventoryError
from inventory.forms import ImportForm, KindForm
from inventory.models import Branch, ItemKind, User
from inventory.selectors import item_list, kind_list, shipment_cautions, shipment_list
from inventory.services import ImportOrder, inventory_import, item_kind_confirm


@branch_page("inventory.import")
def import_page(request: HttpRequest, branch: Branch) -> HttpResponse:
    """Upload a list; every fault is shown by row and column, and then nothing was stored."""
    form = ImportForm(request.POST or None, request.FILES or None)
    faults: list[str] = []
    if request.method == "POST" and form.is_valid():
        try:
            return _imported(request, branch, form)
        except ImportRefusedError as error:
            faults = [str(fault) for fault in error.faults]
        except InventoryError as error:
            faults = [str(error)]
    shown = {"branch": branch, "form": form, "faults": faults}
    refused = request.method == "POST"
    return render(request, "inventory/import.html", shown, status=422 if refused else 200)


def _imported(request: HttpRequest, branch: Branch, form: ImportForm) -> HttpResponse:
    told = form.cleaned_data
    batch, new = inventory_import(
        order=ImportOrder(
            branch=branch,
            reference=told["shipment"],
            lot_number=told["lot"],
            label_color=told["color"],
            filename=told["file"].name,
            by=request.user if isinstance(request.user, User) else None,
        ),
        data=told["file"].read(settings.UPLOAD_LIMIT_BYTES + 1),
        now=timezone.now(),
    )
    if new:
        messages.success(request, _("%(count)d pieces imported") % {"count": batch.lines})
    else:
        messages.info(request, _("This list was imported already; nothing was changed."))
    return redirect("inventory:shipment", branch.code, batch.shipment_id)


@branch_page("inventory.read")
def shipment_page(request: HttpRequest, branch: Branch, shipment_id: int) -> HttpResponse:
    """A shipment's pieces; first those whose kind a person should confirm."""
    branches = Branch.objects.filter(pk=branch.pk)
    shipment = get_object_or_404(shipment_list(branches=branches), pk=shipment_id)
    items = item_list(branches=branches, shipment=shipment.reference)
    shown = {
        "branch": branch,
        "shipment": shipment,
        "items": items,
        "guessed": [item for item in items if not item.kind_confirmed],
        "cautions": shipment_cautions(shipment=shipment),
        "kinds": kind_list(),
    }
    return render(request, "inventory/shipment.html", shown)


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
