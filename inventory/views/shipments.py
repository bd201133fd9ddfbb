"""A shipment's page: pieces, vaults, what was released, what holds it back, its labels."""

from django.contrib import messages
from django.db.models import QuerySet
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from inventory.decorators import branch_page
from inventory.errors import NothingThere, ReferenceTakenError
from inventory.forms import HoldForm, LabelsForm, ReleaseForm, StopForm
from inventory.labels.contents import item_labels, vault_labels
from inventory.labels.sheets import Label, labels_pdf
from inventory.models import Branch, Shipment, Upkeep, User
from inventory.permissions import user_at
from inventory.selectors import (
    hold_list,
    item_list,
    kind_list,
    pieces_cautions,
    release_list,
    shipment_list,
    shipment_pieces,
    vault_list,
    vaults_to_stow,
)
from inventory.services import (
    hold_lift,
    hold_place,
    release_create,
    release_identity_check,
)


@require_GET
@branch_page("inventory.read")
def shipments_page(request: HttpRequest, branch: Branch) -> HttpResponse:
    """All shipments of a branch."""
    shown = {"branch": branch, "shipments": shipment_list(branches=_only(branch))}
    return render(request, "inventory/shipments.html", shown)


@require_GET
@branch_page("inventory.read")
def vaults_page(request: HttpRequest, branch: Branch) -> HttpResponse:
    """All vaults of a branch with where they stand."""
    vaults = vault_list(branches=_only(branch))
    shown = {
        "branch": branch,
        "vaults": vaults,
        "waiting": vaults.exclude(upkeep=Upkeep.READY),
        "empties": vaults_to_stow(branch=branch),
        "form": LabelsForm(),
    }
    return render(request, "inventory/vaults.html", shown)


@branch_page("inventory.read")
def shipment_page(request: HttpRequest, branch: Branch, shipment_id: int) -> HttpResponse:
    """A shipment; first the pieces whose kind a person should confirm."""
    return _shipment_shown(request, branch, _shipment(branch, shipment_id))


@require_POST
@branch_page("inventory.release")
def release(request: HttpRequest, branch: Branch, shipment_id: int) -> HttpResponse:
    """Release a shipment, or only the pieces whose tag numbers are told."""
    shipment, form = _shipment(branch, shipment_id), ReleaseForm(request.POST)
    if form.is_valid():
        items = form.pieces(shipment)
        if not form.errors:
            try:
                release_create(
                    shipment=shipment,
                    reference=form.cleaned_data["reference"],
                    receiver_name=form.cleaned_data["receiver_name"],
                    uuid=form.cleaned_data["uuid"],
                    now=timezone.now(),
                    items=items,
                )
            except ReferenceTakenError:
                form.add_error("reference", _("This shipment has a release of that reference."))
            else:
                messages.success(request, _("Released."))
                return redirect("inventory:shipment", branch.code, shipment.pk)
    return _shipment_shown(request, branch, shipment, release_form=form)


@require_POST
@branch_page("inventory.hold")
def hold(request: HttpRequest, branch: Branch, shipment_id: int) -> HttpResponse:
    """Hold a shipment back."""
    shipment, form = _shipment(branch, shipment_id), HoldForm(request.POST)
    if not form.is_valid():
        return _shipment_shown(request, branch, shipment, hold_form=form)
    told = form.cleaned_data
    hold_place(
        shipment=shipment,
        kind=told["kind"],
        reason=told["reason"],
        by=_signed_in(request),
        uuid=told["uuid"],
        now=timezone.now(),
    )
    messages.success(request, _("The shipment is held: nothing of it leaves."))
    return redirect("inventory:shipment", branch.code, shipment.pk)


@require_POST
@branch_page("inventory.hold")
def lift(request: HttpRequest, branch: Branch, hold_id: int) -> HttpResponse:
    """Lift a hold."""
    found = get_object_or_404(hold_list(branches=_only(branch)), pk=hold_id)
    hold_lift(hold=found, by=_signed_in(request), now=timezone.now())
    messages.success(request, _("The hold is lifted."))
    return redirect("inventory:shipment", branch.code, found.shipment_id)


@require_POST
@branch_page("inventory.identity")
def identity(request: HttpRequest, branch: Branch, release_id: int) -> HttpResponse:
    """Note that the receiver has shown who they are."""
    found = get_object_or_404(release_list(branches=_only(branch)), pk=release_id)
    release_identity_check(release=found, by=_signed_in(request), now=timezone.now())
    messages.success(request, _("Noted: the receiver has shown who they are."))
    return redirect("inventory:shipment", branch.code, found.shipment_id)


@require_GET
@branch_page("inventory.read")
def shipment_labels(request: HttpRequest, branch: Branch, shipment_id: int) -> HttpResponse:
    """The labels of a shipment's pieces, to print."""
    shipment = _shipment(branch, shipment_id)
    items = item_list(branches=_only(branch), shipment=shipment.reference)
    return _labels(request, item_labels(items), f"labels-{shipment.reference}")


@require_GET
@branch_page("inventory.read")
def vaults_labels(request: HttpRequest, branch: Branch) -> HttpResponse:
    """The labels of vaults: of those told by `code`, or of all."""
    vaults = vault_list(branches=_only(branch))
    codes = request.GET.getlist("code")
    if codes:
        vaults = vaults.filter(code__in=codes)
    return _labels(request, vault_labels(vaults), "labels-vaults")


def _labels(request: HttpRequest, labels: list[Label], name: str) -> HttpResponse:
    form = LabelsForm(request.GET)
    if not form.is_valid() or not labels:
        raise NothingThere(_("There are no such labels."))
    told = form.cleaned_data
    content = labels_pdf(labels, stock=told["stock"], skip=told["skip"] or 0)
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def _shipment_shown(
    request: HttpRequest,
    branch: Branch,
    shipment: Shipment,
    release_form: Form | None = None,
    hold_form: Form | None = None,
) -> HttpResponse:
    pieces = shipment_pieces(shipment=shipment)
    holds = hold_list(branches=_only(branch)).filter(shipment=shipment)
    user_may = user_at(user=request.user, branch=branch)
    may = {what: user_may(f"inventory.{what}") for what in ("release", "hold", "identity", "write")}
    may["job"] = user_may("job.write")
    shown = {
        "branch": branch,
        "shipment": shipment,
        "pieces": pieces,
        "vaults": vault_list(branches=_only(branch)).filter(shipment=shipment),
        "guessed": [piece for piece in pieces if not piece.kind_confirmed],
        "cautions": pieces_cautions(pieces),
        "kinds": kind_list(),
        "releases": release_list(branches=_only(branch)).filter(shipment=shipment),
        "holds": holds,
        "release_form": release_form or ReleaseForm(auto_id="release-%s"),
        "hold_form": hold_form or HoldForm(auto_id="hold-%s"),
        "stop_form": StopForm(auto_id="stop-%s"),
        "labels_form": LabelsForm(initial={"stock": branch.paper}, auto_id="labels-%s"),
        "may": may,
        "units": _signed_in(request).units,
    }
    status = 422 if release_form or hold_form else 200
    return render(request, "inventory/shipment.html", shown, status=status)


def _shipment(branch: Branch, shipment_id: int) -> Shipment:
    return get_object_or_404(shipment_list(branches=_only(branch)), pk=shipment_id)


def _only(branch: Branch) -> QuerySet[Branch]:
    return Branch.objects.filter(pk=branch.pk)


def _signed_in(request: HttpRequest) -> User:
    assert isinstance(request.user, User)
    return request.user
