"""Addresses of the office's pages, below `inventory/`."""

from django.urls import path

from inventory.views import condition, imports, leaving, office, shipments

app_name = "inventory"

urlpatterns = [
    path("", office.branches_page, name="branches"),
    path("me/", office.preferences_page, name="preferences"),
    path("<slug:branch_code>/", office.office_page, name="office"),
    path("<slug:branch_code>/search/", office.search_page, name="search"),
    path("<slug:branch_code>/import/", imports.import_page, name="import"),
    path("<slug:branch_code>/items/<int:item_id>/kind/", imports.kind_confirm, name="kind"),
    path(
        "<slug:branch_code>/items/<int:item_id>/condition/", condition.condition, name="condition"
    ),
    path("<slug:branch_code>/photos/<uuid:photo_id>.jpg", condition.photo, name="photo"),
    path("<slug:branch_code>/items/<int:item_id>/value/", leaving.value, name="value"),
    path("<slug:branch_code>/vaults/", shipments.vaults_page, name="vaults"),
    path("<slug:branch_code>/vaults/labels.pdf", shipments.vaults_labels, name="vaults-labels"),
    path("<slug:branch_code>/holds/<int:hold_id>/lift/", shipments.lift, name="lift"),
    path(
        "<slug:branch_code>/releases/<int:release_id>/identity/",
        shipments.identity,
        name="identity",
    ),
    path("<slug:branch_code>/shipments/", shipments.shipments_page, name="shipments"),
    path(
        "<slug:branch_code>/shipments/<int:shipment_id>/",
        shipments.shipment_page,
        name="shipment",
    ),
    path(
        "<slug:branch_code>/shipments/<int:shipment_id>/releases/",
        shipments.release,
        name="release",
    ),
    path("<slug:branch_code>/shipments/<int:shipment_id>/holds/", shipments.hold, name="hold"),
    path(
        "<slug:branch_code>/shipments/<int:shipment_id>/labels.pdf",
        shipments.shipment_labels,
        name="labels",
    ),
]
