"""What a new plan changed, told on the floor's pages until the phone's holder taps it away."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import get_script_prefix
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from inventory.permissions import user_may
from jobs.errors import PlanHoldsNoLonger
from jobs.models import Job
from jobs.selectors.access import job_demanded
from jobs.selectors.notices import Notice, job_notices
from jobs.services import job_plan_return
from jobs.views.asking import back, signed_in

SHOWN: Final = 3
KEPT_S: Final = 24 * 3600


@dataclass(frozen=True, slots=True)
class Unseen:
    """Notices, the oldest first. Tapped away, `cookie` remembers `until`, also without network.

    `goes_back`: the reader may return from the plan that stands to the one before it.
    """

    told: Sequence[Notice]
    cookie: str
    goes_back: bool

    @property
    def until(self) -> int:
        """When the newest was told, in microseconds since 1970."""
        return round(self.told[-1].at.timestamp() * 1_000_000)


def notices_unseen(request: HttpRequest, job: Job | None) -> Unseen | None:
    """The last few that this phone's holder has not tapped away, or None."""
    if job is None:
        return None
    told = job_notices(job=job, after=_moment(request.COOKIES.get(cookie_of(job), "")))
    if not told:
        return None
    goes_back = user_may(user=request.user, branch=job.branch, action="plan.make")
    return Unseen(told[-SHOWN:], cookie_of(job), goes_back)


@require_POST
@login_required
def seen(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Take the notices up to a moment away from this phone's pages."""
    found = job_demanded(user=request.user, job_id=job_id)
    answer = redirect(back(request))
    until = request.POST.get("until", "")
    if until.isdecimal():
        path = get_script_prefix()
        answer.set_cookie(cookie_of(found), until, max_age=KEPT_S, path=path, samesite="Lax")
    return answer


@require_POST
@login_required
def go_back(request: HttpRequest, job_id: UUID, plan_id: int) -> HttpResponse:
    """Return to the version of the plan before a new one, while it still holds."""
    found = job_demanded(user=request.user, job_id=job_id, action="plan.make")
    plan = get_object_or_404(found.load.plans, pk=plan_id)
    try:
        job_plan_return(job=found, plan=plan, by=signed_in(request), now=timezone.now())
        messages.success(request, _("Plan %(version)s stands again.") % {"version": plan.version})
    except PlanHoldsNoLonger as error:
        messages.error(request, str(error))
    return redirect(back(request))


def cookie_of(job: Job) -> str:
    return f"seen-{job.pk.hex[:12]}"


def _moment(text: str) -> datetime | None:
    """From microseconds since 1970; None for anything else."""
    try:
        return datetime.fromtimestamp(int(text) / 1_000_000, UTC)
    except (ValueError, OverflowError, OSError):
        return None
