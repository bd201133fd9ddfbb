"""Which truck for a release: asking, and the answer."""

from uuid import UUID, uuid4

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from inventory.models import Release, User
from inventory.permissions import user_may, user_must
from loading.errors import LoadingError
from loading.forms import FleetForm
from loading.models import TruckChoice
from loading.selectors import choice_second_trips
from loading.services import choice_second_trip, truck_choice_create


@login_required
def choose_page(request: HttpRequest, release_id: int) -> HttpResponse:
    """Ask which of the branch's trucks takes a release, and see what was asked before."""
    stored = Release.objects.select_related("shipment__branch")
    release = stored.filter(pk=release_id).first()
    branch = release.shipment.branch if release else None
    if release is None or not user_may(user=request.user, branch=branch, action="plan.read"):
        raise Http404
    user_must(user=request.user, branch=release.shipment.branch, action="plan.make")
    units = request.user.units if isinstance(request.user, User) else ""
    form = FleetForm(
        request.POST or None,
        branch=release.shipment.branch,
        units=units,
        initial={"choice_id": uuid4()},
    )
    if request.method == "POST" and form.is_valid():
        try:
            asked = truck_choice_create(
                release=release,
                now=timezone.now(),
                by=request.user if isinstance(request.user, User) else None,
                **form.told(),
            )
        except LoadingError as error:
            form.add_error(None, str(error))
        else:
            return redirect("loading:truck-choice", asked.pk)
    shown = {
        "release": release,
        "branch": branch,
        "form": form,
        "choices": TruckChoice.objects.filter(release=release)[:10],
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "loading/choose_truck.html", shown, status=status)


@require_GET
@login_required
def choice_page(request: HttpRequest, choice_id: UUID) -> HttpResponse:
    """What each truck would cost, and which trips are proposed; looks again while it is planned."""
    choice = _choice_demanded(request, choice_id)
    units = request.user.units if isinstance(request.user, User) else ""
    shown = {
        "choice": choice,
        "branch": choice.branch,
        "answer": choice.answer,
        "units": units,
        "second_trips": choice_second_trips(choice=choice),
        "may_split": user_may(user=request.user, branch=choice.branch, action="plan.make"),
    }
    answer = render(request, "loading/truck_choice.html", shown)
    if not choice.is_finished:
        answer["Refresh"] = "3"
    return answer


@require_POST
@login_required
def choice_trip(request: HttpRequest, choice_id: UUID) -> HttpResponse:
    """Make what goes second a release of its own."""
    choice = _choice_demanded(request, choice_id)
    user_must(user=request.user, branch=choice.branch, action="plan.make")
    made = choice_second_trip(choice=choice, now=timezone.now())
    messages.success(request, _("Released for a second trip as %s.") % made.reference)
    return redirect("loading:truck-choice", choice.pk)


def _choice_demanded(request: HttpRequest, choice_id: UUID) -> TruckChoice:
    """The choice, for who may read it; all others find nothing."""
    stored = TruckChoice.objects.select_related("branch", "release__shipment", "dock")
    choice = stored.filter(pk=choice_id).first()
    if choice is None or not user_may(user=request.user, branch=choice.branch, action="plan.read"):
        raise Http404
    return choice
