"""Addresses of the inventory's API, below `api/`."""

from rest_framework.routers import SimpleRouter

from inventory.api import views

router = SimpleRouter()
router.register("branches", views.BranchViewSet, "branch")
router.register("shipments", views.ShipmentViewSet, "shipment")
router.register("lanes", views.LaneViewSet, "lane")
router.register("vaults", views.VaultViewSet, "vault")
router.register("arrivals", views.ArrivalViewSet, "arrival")
router.register("items", views.ItemViewSet, "item")
router.register("kinds", views.KindViewSet, "kind")
router.register("imports", views.ImportViewSet, "import")
router.register("releases", views.ReleaseViewSet, "release")
router.register("holds", views.HoldViewSet, "hold")

urlpatterns = router.urls
