from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from loading.models import Dock, Load, LoadPlan, PlanRun, Truck


@admin.register(Truck)
class TruckAdmin(admin.ModelAdmin):
    list_display = ("name", "branch", "interior_length_mm", "payload_g", "ride")
    list_filter = ("branch",)


@admin.register(Dock)
class DockAdmin(admin.ModelAdmin):
    list_display = ("name", "branch", "vault_spots", "floor_mm2")
    list_filter = ("branch",)


@admin.register(Load)
class LoadAdmin(admin.ModelAdmin):
    list_display = ("reference", "branch", "release", "truck", "dock", "created_at")
    list_filter = ("branch",)
    search_fields = ("reference",)


class _ReadOnlyAdmin(admin.ModelAdmin):
    """For rows that only services write."""

    def has_add_permission(self, request: HttpRequest) -> bool:  # noqa: ARG002
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:  # noqa: ARG002
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:  # noqa: ARG002
        return False


@admin.register(PlanRun)
class PlanRunAdmin(_ReadOnlyAdmin):
    list_display = ("id", "load", "status", "share", "space_use", "claimed_by", "created_at")
    list_filter = ("status",)


@admin.register(LoadPlan)
class LoadPlanAdmin(_ReadOnlyAdmin):
    list_display = ("load", "version", "run", "checked_at")
