"""Addresses of the inventory's pages, below `inventory/`."""

from django.urls import path

from inventory import views

app_name = "inventory"

urlpatterns = [
    path("<slug:branch_code>/import/", views.import_page, name="import"),
    path("<slug:branch_code>/shipments/<int:shipment_id>/", views.shipment_page, name="shipment"),
    path("<slug:branch_code>/items/<int:item_id>/kind/", views.kind_confirm, name="kind"),
]
