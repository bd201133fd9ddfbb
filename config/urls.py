"""Addresses: the apps' pages and API, the schema, signing in, health."""

from importlib.util import find_spec

from django.contrib import admin
from django.contrib.auth import views as auth_views
from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from config import api_root, health

_APPS = [
    ("", "jobs.urls"),
    ("loading/", "loading.urls"),
    ("inventory/", "inventory.urls"),
    ("api/", "jobs.api.urls"),
    ("api/", "loading.api.urls"),
    ("api/", "inventory.api.urls"),
]

urlpatterns = [
    *(path(at, include(name)) for at, name in _APPS if find_spec(name)),
    path("api/", api_root.api_root, name="api-root"),
    path("api/schema/", SpectacularAPIView.as_view(), name="schema"),
    path("sign-in/", auth_views.LoginView.as_view(template_name="sign_in.html"), name="sign-in"),
    path("sign-out/", auth_views.LogoutView.as_view(), name="sign-out"),
    path("admin/", admin.site.urls),
    path("health/", health.health, name="health"),
]

handler400 = "config.problems.bad_request"
handler403 = "config.problems.permission_denied"
handler404 = "config.problems.page_not_found"
handler500 = "config.problems.server_error"
