"""What every page asks of a request: who, in which units, on which job with which plan."""

from uuid import UUID

from django.http import HttpRequest
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _

from inventory.errors import NothingThere
from inventory.models import Device, User
from jobs.models import Job
from jobs.selectors.access import job_demanded
from jobs.selectors.pairings import PairedPhone
from loading.models import LoadPlan


def signed_in(request: HttpRequest) -> User:
    """The person; for views behind `login_required`."""
    assert isinstance(request.user, User)
    return request.user


def units(request: HttpRequest) -> str:
    return signed_in(request).units


def job_with_plan(request: HttpRequest, job_id: UUID) -> tuple[Job, LoadPlan]:
    """The job and its accepted plan; not found while there is none."""
    found = job_demanded(user=request.user, job_id=job_id)
    if found.plan is None:
        raise NothingThere(_("This job has no accepted plan yet."))
    return found, found.plan


def page_or_part(request: HttpRequest, name: str) -> str:
    """The template of a whole page, or only of its part that changes when a script asks for it."""
    part = getattr(request, "htmx", False)
    return f"jobs/_{name}.html" if part else f"jobs/{name}.html"


def device_of(request: HttpRequest) -> Device | None:
    """The paired phone that asks, if it is one."""
    phone: PairedPhone | None = getattr(request, "phone", None)
    return phone.device if phone else None


def job_id_of_phone(request: HttpRequest) -> UUID | None:
    """The one job that a paired phone may see."""
    phone: PairedPhone | None = getattr(request, "phone", None)
    return phone.job_id if phone else None


def back(request: HttpRequest) -> str:
    """The page that a form came from, if it is one of ours."""
    wanted = request.POST.get("next", "")
    own = url_has_allowed_host_and_scheme(wanted, allowed_hosts=None)
    return wanted if own and wanted.startswith("/") else reverse("jobs:mine")
