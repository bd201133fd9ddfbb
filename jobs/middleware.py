"""Paired phones. A phone's pages live under an address of their own, `/w/<device>/`.

The token's cookie has that path, so windows of one browser can be different people, and a phone
never mixes with somebody who signs in with a password beside it.
"""

import re
from collections.abc import Callable
from typing import Any, Final
from uuid import UUID

from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import get_script_prefix, set_script_prefix
from django.utils import timezone

from jobs.selectors.pairings import paired_phone

COOKIE: Final = "phone"
ADDRESS = re.compile(r"^/w/(?P<device>[0-9a-f-]{36})(?=/)")

PAGES: Final = frozenset(
    {"mine", "my-task", "hands", "sheet", "warehouse", "loader", "fits"}
    | {"pulls", "tiers", "tier", "solid"}
    | {"record", "record-pdf", "record-signed"}
    | {"tell", "batch", "photos", "notices-seen", "live", "live-since", "offline"}
)
"""What a phone reaches, and of it only its own job; everything else needs a password."""

View = Callable[[HttpRequest], HttpResponse]


class PairedPhoneMiddleware:
    """Makes a request under a phone's address one of the person whom the phone was paired for."""

    def __init__(self, get_response: View) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        found = ADDRESS.match(request.path_info)
        if found is None:
            return self.get_response(request)
        request.path_info = request.path_info[found.end() :]
        before = get_script_prefix()
        set_script_prefix(found.group() + "/")
        try:
            return self._answer(request, found["device"])
        finally:  # the thread's next request may come from somebody else
            set_script_prefix(before)

    def _answer(self, request: HttpRequest, device: str) -> HttpResponse:
        phone = paired_phone(
            device_id=_uuid(device),
            token=request.COOKIES.get(COOKIE, ""),
            now=timezone.now(),
        )
        request.phone = phone  # type: ignore[attr-defined]
        request.user = phone.user if phone else AnonymousUser()
        return self.get_response(request) if phone else _ended(request)

    def process_view(
        self, request: HttpRequest, _view: object, _args: object, kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        """Keep a phone to its job: Django's hook before each view."""
        phone = getattr(request, "phone", None)
        if phone is None:
            return None
        match = request.resolver_match
        reached = match is not None and match.namespace == "jobs" and match.url_name in PAGES
        own = kwargs.get("job_id", phone.job_id) == phone.job_id
        return None if reached and own else render(request, "jobs/phone_only.html", status=403)


def _ended(request: HttpRequest) -> HttpResponse:
    """The shift is over or the phone was revoked: said to a person, and to the outbox."""
    if request.accepts("text/html"):
        return render(request, "jobs/phone_ended.html", status=401)
    return JsonResponse({"code": "phone_ended"}, status=401)


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError:
        return UUID(int=0)
