from django.urls import path
from rest_framework.routers import SimpleRouter

from loading.api import equipment, fits, scale, studies, trucks, views

router = SimpleRouter()
router.register("trucks", views.TruckViewSet, basename="truck")
router.register("docks", views.DockViewSet, basename="dock")
router.register("loads", views.LoadViewSet, basename="load")
router.register("plan-runs", views.PlanRunViewSet, basename="plan-run")
router.register("equipment-movements", equipment.EquipmentMovementViewSet, "equipment-movement")
router.register("equipment-counts", equipment.EquipmentCountViewSet, "equipment-count")
router.register("dock-studies", studies.DockStudyViewSet, "dock-study")
router.register("truck-choices", trucks.TruckChoiceViewSet, "truck-choice")
router.register("plans", views.LoadPlanViewSet, basename="plan")

urlpatterns = [
    *router.urls,
    path("loads/<int:pk>/fits/", fits.LoadFitsView.as_view(), name="load-fits"),
    path("loads/<int:pk>/scale/", scale.LoadScaleView.as_view(), name="load-scale"),
    path("loads/<int:pk>/place/", fits.LoadPlaceView.as_view(), name="load-place"),
]
