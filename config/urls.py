"""Addresses: the apps' pages and API, the schema, signing in, health."""

from django.contrib import admin
from django.contrib.auth import views as auth_views
from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from config import api_root, health

urlpatterns = [
    path("", include("jobs.urls")),
    path("loading/", include("loading.urls")),
    path("inventory/", include("inventory.urls")),
    path("api/", include("jobs.api.urls")),
    path("api/", include("loading.api.urls")),
    path("api/", include("inventory.api.urls")),
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
