"""What somebody decides of a piece that may leave."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from inventory.decorators import branch_page
from inventory.models import Branch, Item
from inventory.services import item_high_value_set

DECIDED = {"yes": True, "no": False}


@require_POST
@branch_page("inventory.write")
def value(request: HttpRequest, branch: Branch, item_id: int) -> HttpResponse:
    """Put a piece onto the high-value list, take it off, or leave it to its name."""
    item = get_object_or_404(Item, pk=item_id, shipment__branch=branch)
    item_high_value_set(item=item, high_value=DECIDED.get(request.POST.get("high_value", "")))
    return redirect("jobs:piece", item.pk)
