"""What makes an installed app of the pages: manifest, service worker, and the page for no network.

The worker lies at the root because its scope is its path.
"""

import hashlib
from pathlib import Path
from typing import Final

from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

SHELL: Final = (
    "config/tierwright.css",
    "config/icon.svg",
    "config/vendor/htmx.min.js",
    "jobs/floor.css",
    "jobs/outbox.js",
    "jobs/photos.js",
    "jobs/live.js",
    "jobs/floor.js",
    "jobs/scan.js",
    "jobs/taps.js",
    "jobs/solid.js",
    "jobs/sheet.js",
    "loading/sheets.css",
)
"""What is kept on the phone ahead of need."""
READER: Final = ("config/vendor/qr/decode.js", "config/vendor/qr/index.js")
"""Reads QR codes where the browser cannot, and is kept only there."""


@require_GET
@never_cache
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker; its text changes with the shell, and so phones fetch that anew."""
    # The second is asked for by the first, under the name that it has there.
    reader = (static(READER[0]), settings.STATIC_URL + READER[1])
    shown = {
        "shell": [static(name) for name in SHELL],
        "reader": reader,
        "version": _version(),
    }
    return render(request, "jobs/worker.js", shown, content_type="text/javascript")


@require_GET
def manifest(_request: HttpRequest) -> JsonResponse:
    """The web app manifest (W3C)."""
    return JsonResponse(
        {
            "name": "Tierwright",
            "short_name": "Tierwright",
            "description": _("Today's truck, tier by tier"),
            "start_url": "mine/",
            "scope": ".",
            "display": "standalone",
            "background_color": "#16191c",
            "theme_color": "#16191c",
            "icons": [
                {"src": static("config/icon.svg"), "sizes": "any", "type": "image/svg+xml"},
                _icon("icon-192", 192),
                _icon("icon-512", 512),
                _icon("icon-whole-512", 512) | {"purpose": "maskable"},
            ],
        },
        content_type="application/manifest+json",
    )


def _icon(name: str, side_px: int) -> dict[str, str]:
    """For systems that take no drawing as an icon."""
    side = f"{side_px}x{side_px}"
    return {"src": static(f"config/{name}.png"), "sizes": side, "type": "image/png"}


@require_GET
def offline(request: HttpRequest) -> HttpResponse:
    """Shown without network where the phone has never been before."""
    return render(request, "jobs/offline.html")


def _version() -> str:
    digest = hashlib.sha256()
    for name in SHELL + READER:
        found = finders.find(name)
        digest.update(Path(found).read_bytes() if isinstance(found, str) else name.encode())
    return digest.hexdigest()[:12]
