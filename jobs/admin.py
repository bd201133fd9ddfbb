"""Jobs for looking up; what happens on the floor is changed by events only."""

from django.contrib import admin
from django.http import HttpRequest

from jobs.models import Event, Job, Task


@admin.register(Job)
class JobAdmin(admin.ModelAdmin):
    list_display = ("load", "day", "window_start", "status")
    list_filter = ("branch", "status", "day")
    list_select_related = ("load",)


class _LookOnly:
    """No row is added, changed or deleted by hand."""

    def has_add_permission(self, request: HttpRequest) -> bool:  # noqa: ARG002
        return False

    def has_change_permission(self, request: HttpRequest, obj: object = None) -> bool:  # noqa: ARG002
        return False

    def has_delete_permission(self, request: HttpRequest, obj: object = None) -> bool:  # noqa: ARG002
        return False


@admin.register(Task)
class TaskAdmin(_LookOnly, admin.ModelAdmin):
    list_display = ("job", "sequence", "key", "status")
    list_filter = ("status", "kind")
    list_select_related = ("job__load",)


@admin.register(Event)
class EventAdmin(_LookOnly, admin.ModelAdmin):
    list_display = ("stream", "sequence", "kind", "outcome", "recorded_at")
    list_filter = ("kind", "outcome")
    list_select_related = ("stream",)
