"""After a load: empty vaults are swept, mended and stowed; what stays behind gets a place."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.decorators import branch_page
from inventory.errors import InventoryError
from inventory.models import Branch, Item, Lane, Upkeep, Vault
from inventory.services import item_high_value_set, item_put, vault_stow, vault_upkeep_set

DECIDED = {"yes": True, "no": False}


@require_POST
@branch_page("inventory.write")
def upkeep(request: HttpRequest, branch: Branch, vault_id: int) -> HttpResponse:
    """An empty vault was swept, or mended."""
    vault = get_object_or_404(Vault, pk=vault_id, branch=branch)
    said = request.POST.get("upkeep", "")
    if said in Upkeep.values:
        try:
            vault_upkeep_set(vault=vault, upkeep=Upkeep(said), note=request.POST.get("note", ""))
        except InventoryError as error:
            messages.error(request, str(error))
    return redirect("inventory:vaults", branch.code)


@require_POST
@branch_page("inventory.write")
def stow(request: HttpRequest, branch: Branch, vault_id: int) -> HttpResponse:
    """Put an empty vault into a lane of empties."""
    vault = get_object_or_404(Vault, pk=vault_id, branch=branch)
    lane = get_object_or_404(Lane, branch=branch, name=request.POST.get("lane", ""))
    try:
        stowed = vault_stow(vault=vault, lane=lane)
    except InventoryError as error:
        messages.error(request, str(error))
    else:
        told = {"lane": lane.name, "depth": stowed.depth, "level": stowed.level}
        messages.success(
            request, _("It goes to lane %(lane)s, %(depth)s deep, level %(level)s.") % told
        )
    return redirect("inventory:vaults", branch.code)


@require_POST
@branch_page("inventory.write")
def put(request: HttpRequest, branch: Branch, item_id: int) -> HttpResponse:
    """Give a piece that stays behind a place outside a vault."""
    item = get_object_or_404(Item, pk=item_id, shipment__branch=branch)
    try:
        item_put(item=item, place=request.POST.get("place", ""))
    except InventoryError as error:
        messages.error(request, str(error))
    return redirect("jobs:piece", item.pk)


@require_POST
@branch_page("inventory.write")
def value(request: HttpRequest, branch: Branch, item_id: int) -> HttpResponse:
    """Put a piece onto the high-value list, take it off, or leave it to its name."""
    item = get_object_or_404(Item, pk=item_id, shipment__branch=branch)
    item_high_value_set(item=item, high_value=DECIDED.get(request.POST.get("high_value", "")))
    return redirect("jobs:piece", item.pk)
