"""The page of a load's weight tickets."""

from uuid import uuid4

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.errors import NotPermittedError
from inventory.models import User
from inventory.permissions import user_may
from loading.errors import LoadingError
from loading.forms import TicketForm, VaultWeightForm
from loading.models import Load
from loading.papers import PaperForm
from loading.papers.weight_record import weight_record_pdf
from loading.selectors.loads import load_shipments
from loading.selectors.scale import load_scale, vault_weighed
from loading.services import scale_ticket_record
from loading.views.pdf import pdf_response


@login_required
def scale_page(request: HttpRequest, load_id: int) -> HttpResponse:
    """The tickets of a load; what the newest says against the list; writing down another."""
    load = _load_demanded(request, load_id)
    may_write = user_may(user=request.user, branch=load.branch, action="event.record") or user_may(
        user=request.user, branch=load.branch, action="job.write"
    )
    units = request.user.units if isinstance(request.user, User) else ""
    form = TicketForm(request.POST or None, units=units, initial=_known(load))
    if request.method == "POST":
        if not may_write:
            raise NotPermittedError("event.record", load.branch.code)
        if form.is_valid() and _recorded(request, load, form):
            return redirect("loading:scale", load.pk)
    weigh = VaultWeightForm(
        request.GET if "vault" in request.GET else None, units=units, auto_id="vault-%s"
    )
    weighed = vault_weighed(load=load, **weigh.told()) if weigh.is_valid() else None
    if weigh.is_valid() and weighed is None:
        weigh.add_error("vault", _("This vault holds nothing of this shipment."))
    shown = {
        "weigh": weigh,
        "weighed": weighed,
        "load": load,
        "branch": load.branch,
        "scale": load_scale(load=load),
        "form": form,
        "units": units,
        "may_write": may_write,
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "loading/scale.html", shown, status=status)


@login_required
def scale_paper(request: HttpRequest, load_id: int) -> HttpResponse:
    """The load's weight record as PDF."""
    load = _load_demanded(request, load_id)
    units = request.user.units if isinstance(request.user, User) else ""
    content = weight_record_pdf(load, load_scale(load=load), PaperForm(load.branch.paper, units))
    return pdf_response(content, f"{load.reference}-weight-record")


def _recorded(request: HttpRequest, load: Load, form: TicketForm) -> bool:
    by = request.user if isinstance(request.user, User) else None
    try:
        scale_ticket_record(load=load, now=timezone.now(), by=by, **form.told())
    except LoadingError as error:
        form.add_error(None, str(error))
        return False
    return True


def _known(load: Load) -> dict[str, object]:
    """What we know of the six items before anybody was at the scale."""
    return {
        "ticket_id": uuid4(),
        "vehicle": load.truck.name,
        "shipment": load_shipments(load=load),
    }


def _load_demanded(request: HttpRequest, load_id: int) -> Load:
    stored = Load.objects.select_related("branch", "truck", "release__shipment")
    load = stored.filter(pk=load_id).first()
    if load is None or not user_may(user=request.user, branch=load.branch, action="plan.read"):
        raise Http404
    return load
