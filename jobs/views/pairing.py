"""Pairing a crew member's phone for a shift: the dispatcher shows a code, the phone takes it."""

from urllib.parse import urlsplit
from uuid import UUID

import segno
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from inventory.models import Device
from jobs.errors import CodeSpent
from jobs.middleware import COOKIE
from jobs.selectors.access import job_demanded
from jobs.selectors.pairings import job_phones, pairing_open
from jobs.services import device_revoke, pairing_create, pairing_take
from jobs.views.asking import signed_in


@require_GET
@login_required
def phones(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """The crew and their phones."""
    found = job_demanded(user=request.user, job_id=job_id, action="job.dispatch")
    shown = {
        "job": found,
        "members": found.crew.select_related("user"),
        "pairings": job_phones(job=found),
        "now": timezone.now(),
    }
    return render(request, "jobs/phones.html", shown)


@require_POST
@login_required
@never_cache
def phone_code(request: HttpRequest, job_id: UUID, member_id: int) -> HttpResponse:
    """A code for one phone, as a QR picture; it is shown this once."""
    found = job_demanded(user=request.user, job_id=job_id, action="job.dispatch")
    member = get_object_or_404(found.crew.select_related("user", "job"), pk=member_id)
    pairing, code = pairing_create(member=member, by=signed_in(request), now=timezone.now())
    address = request.build_absolute_uri(reverse("jobs:pair", args=[code]))
    picture = segno.make_qr(address, error="m").svg_inline(border=4, svgclass="qr", omitsize=True)
    shown = {"job": found, "member": member, "pairing": pairing}
    return render(request, "jobs/phone_code.html", shown | {"address": address, "qr": picture})


@require_POST
@login_required
def phone_revoke(request: HttpRequest, job_id: UUID, device_id: UUID) -> HttpResponse:
    """End a phone's leave."""
    found = job_demanded(user=request.user, job_id=job_id, action="job.dispatch")
    device = get_object_or_404(Device, pk=device_id, pairing__member__job=found)
    device_revoke(device=device, now=timezone.now())
    return redirect("jobs:phones", job_id=job_id)


@csrf_exempt
@require_http_methods(["GET", "POST"])
@never_cache
def pair(request: HttpRequest, code: str) -> HttpResponse:
    """What the QR code opens on the phone. Taking it needs a press: a preview must not spend it.

    The code is the secret that proves the press. A token in the form would be stale as soon as
    somebody signs in in another window of the same browser. A press on another site's page, which
    could make this browser somebody else's phone, only opens ours.
    """
    now = timezone.now()
    pairing = pairing_open(code=code, now=now)
    if pairing is None:
        raise CodeSpent
    if request.method == "GET" or _pressed_elsewhere(request):
        return render(request, "jobs/pair.html", {"pairing": pairing})
    label = request.headers.get("User-Agent", "")
    device, token = pairing_take(code=code, label=_label(label), now=now)
    answer = redirect(f"/w/{device.pk}{reverse('jobs:mine')}")
    answer.set_cookie(
        COOKIE,
        token,
        path=f"/w/{device.pk}/",
        expires=pairing.until,
        secure=request.is_secure(),
        httponly=True,
        samesite="Lax",
    )
    return answer


def _pressed_elsewhere(request: HttpRequest) -> bool:
    """Whether a form of another site was sent; browsers name the site with everything they post."""
    origin = request.headers.get("Origin")
    return origin is not None and urlsplit(origin).netloc != request.get_host()


def _label(agent: str) -> str:
    """A short word for a phone, so that the dispatcher can tell it from others."""
    known = ("Android", "iPhone", "iPad", "Windows", "Macintosh", "Linux")
    return next((word for word in known if word in agent), "phone")
