"""The ledger of pads and equipment of a branch."""

from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.decorators import branch_page
from inventory.errors import NotPermittedError
from inventory.models import Branch, User
from inventory.permissions import user_may
from loading.errors import LoadingError
from loading.forms import MoveForm
from loading.ledger import Equipment
from loading.models import EquipmentMovement
from loading.selectors.equipment import equipment_ledger, equipment_places
from loading.services import equipment_move

RECENT = 50


@branch_page("plan.read")
def ledger_page(request: HttpRequest, branch: Branch) -> HttpResponse:
    """What equipment is where, what moved lately, and moving some of it."""
    may_move = user_may(user=request.user, branch=branch, action="event.record")
    places = equipment_places(branch=branch)
    form = MoveForm(request.POST or None, places=places, initial={"uuid": uuid4()})
    if request.method == "POST":
        if not may_move:
            raise NotPermittedError("event.record", branch.code)
        if form.is_valid() and _moved(request, branch, form):
            messages.success(request, _("Moved."))
            return redirect("loading:ledger", branch.code)
    shown = {
        "branch": branch,
        "kinds": tuple(Equipment),
        "ledger": equipment_ledger(branch_id=branch.pk),
        "movements": EquipmentMovement.objects.filter(branch=branch)
        .select_related("moved_by")
        .order_by("-moved_at", "-id")[:RECENT],
        "form": form,
        "may_move": may_move,
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "loading/ledger.html", shown, status=status)


def _moved(request: HttpRequest, branch: Branch, form: MoveForm) -> bool:
    by = request.user if isinstance(request.user, User) else None
    try:
        equipment_move(branch=branch, now=timezone.now(), by=by, **form.told())
    except LoadingError as error:
        form.add_error(None, str(error))
        return False
    return True
