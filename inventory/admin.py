"""The inventory in Django's admin, for superusers."""

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin

from inventory import models


@admin.register(models.User)
class PersonAdmin(UserAdmin):
    fieldsets = (
        *(UserAdmin.fieldsets or ()),
        ("Tierwright", {"fields": ("branch", "units", "language")}),
    )
    list_display = ("username", "branch", "is_active", "is_superuser")


@admin.register(models.Branch)
class BranchAdmin(admin.ModelAdmin):
    list_display = ("code", "name", "time_zone")


@admin.register(models.Role)
class RoleAdmin(admin.ModelAdmin):
    list_display = ("user", "branch", "kind")
    list_filter = ("branch", "kind")


@admin.register(models.Shipment)
class ShipmentAdmin(admin.ModelAdmin):
    list_display = ("reference", "branch", "lot_number", "label_color")
    search_fields = ("reference", "lot_number")


@admin.register(models.Lane)
class LaneAdmin(admin.ModelAdmin):
    list_display = ("name", "branch", "depth", "levels")


@admin.register(models.Vault)
class VaultAdmin(admin.ModelAdmin):
    list_display = ("code", "branch", "shipment", "lane", "depth", "level")
    search_fields = ("code",)


@admin.register(models.VaultArrival)
class ArrivalAdmin(admin.ModelAdmin):
    list_display = ("vault", "expected_at", "stowed_at")
    raw_id_fields = ("vault",)


@admin.register(models.ItemKind)
class KindAdmin(admin.ModelAdmin):
    list_display = ("code", "name", "length_mm", "width_mm", "height_mm", "weight_g")
    search_fields = ("code", "name")


@admin.register(models.Item)
class ItemAdmin(admin.ModelAdmin):
    list_display = ("name", "shipment", "vault", "kind", "kind_confirmed")
    search_fields = ("name", "tags__number")
    raw_id_fields = ("shipment", "vault", "kind", "loose_place")


@admin.register(models.Release)
class ReleaseAdmin(admin.ModelAdmin):
    list_display = ("reference", "shipment", "receiver_name", "identity_checked_at")
    raw_id_fields = ("shipment", "items")


@admin.register(models.Hold)
class HoldAdmin(admin.ModelAdmin):
    list_display = ("shipment", "kind", "placed_at", "lifted_at")


@admin.register(models.ImportBatch)
class ImportAdmin(admin.ModelAdmin):
    list_display = ("filename", "shipment", "lines", "imported_at")


admin.site.register([models.Device, models.ItemTag, models.LoosePlace])
