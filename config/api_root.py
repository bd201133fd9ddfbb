"""The door of the API: every collection by name, so that a newcomer can walk on from here."""

from django.urls import URLPattern, URLResolver, get_resolver
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import api_view
from rest_framework.request import Request
from rest_framework.response import Response


@extend_schema(responses=OpenApiTypes.OBJECT)
@api_view(["GET"])
def api_root(request: Request) -> Response:
    """Every address of the API that needs no key, sorted."""
    found = {
        route.strip("/"): request.build_absolute_uri(f"/api/{route}")
        for route in _plain_routes(get_resolver().url_patterns, "")
        if route
    }
    return Response(dict(sorted(found.items())))


def _plain_routes(patterns: list[URLPattern | URLResolver], prefix: str) -> list[str]:
    routes: list[str] = []
    for pattern in patterns:
        whole = prefix + str(pattern.pattern).lstrip("^").rstrip("$").replace(r"\Z", "")
        if isinstance(pattern, URLResolver):
            routes += _plain_routes(pattern.url_patterns, whole)
        elif whole.startswith("api/") and not set(whole) & set("<(?["):
            routes.append(whole.removeprefix("api/"))
    return routes
