"""The office at a glance, searching, and a person's own language and units."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from inventory.decorators import branch_page
from inventory.errors import CodeUnreadableError
from inventory.forms import PreferencesForm
from inventory.models import Branch, User
from inventory.permissions import user_may
from inventory.selectors import (
    branch_visible,
    goods_search,
    hold_list,
    import_list,
    release_list,
    shipment_list,
)
from inventory.services import preferences_set

RECENT = 10


@require_GET
@login_required
def branches_page(request: HttpRequest) -> HttpResponse:
    """The branches that a person sees; who sees one goes straight there."""
    branches = list(branch_visible(user=request.user))
    if len(branches) == 1:
        return redirect("inventory:office", branches[0].code)
    return render(request, "inventory/branches.html", {"branches": branches})


@require_GET
@branch_page("inventory.read")
def office_page(request: HttpRequest, branch: Branch) -> HttpResponse:
    """What the office has to look after: holds, releases, imports with open questions."""
    branches = Branch.objects.filter(pk=branch.pk)
    shown = {
        "branch": branch,
        "holds": hold_list(branches=branches).filter(lifted_at__isnull=True),
        "releases": release_list(branches=branches)[:RECENT],
        "imports": import_list(branches=branches)[:RECENT],
        "unconfirmed": shipment_list(branches=branches)
        .filter(items__kind_confirmed=False)
        .distinct(),
        "may_import": user_may(user=request.user, branch=branch, action="inventory.import"),
    }
    return render(request, "inventory/office.html", shown)


@require_GET
@branch_page("inventory.read")
def search_page(request: HttpRequest, branch: Branch) -> HttpResponse:
    """Find pieces, vaults and shipments by a scanned code, a tag number or words."""
    said = request.GET.get("q", "").strip()
    shown: dict[str, object] = {"branch": branch, "said": said}
    if said:
        try:
            shown["found"] = goods_search(branch=branch, said=said)
        except CodeUnreadableError:
            shown["unreadable"] = True
    return render(request, "inventory/search.html", shown)


@login_required
def preferences_page(request: HttpRequest) -> HttpResponse:
    """Language and units of the person signed in."""
    assert isinstance(request.user, User)
    form = PreferencesForm(request.POST or None, instance=request.user)
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        preferences_set(user=request.user, language=told["language"], units=told["units"])
        with translation.override(told["language"]):
            messages.success(request, _("This is how everything is shown to you now."))
        return redirect("inventory:preferences")
    status = 422 if request.method == "POST" else 200
    return render(request, "inventory/preferences.html", {"form": form}, status=status)
