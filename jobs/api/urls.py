from django.urls import path
from rest_framework.routers import SimpleRouter

from jobs.api import (
    afterwards,
    custody,
    day_crews,
    fits,
    hand_over,
    orders,
    photos,
    scheduling,
    stops,
    views,
)

router = SimpleRouter()
router.register("jobs", views.JobViewSet, basename="job")
router.register("afterwards", afterwards.AfterwardsViewSet, basename="afterwards")
router.register("my-task", views.MyTaskViewSet, basename="my-task")

urlpatterns = [
    *router.urls,
    path("shipments/<int:shipment_id>/stops/", stops.ShipmentStopsView.as_view()),
    path("branches/<str:code>/days/<day:day>/crews/", day_crews.DayCrewsView.as_view()),
    path("branches/<str:code>/days/<day:day>/shifts/", day_crews.ShiftsView.as_view()),
    path(
        "branches/<str:code>/days/<day:day>/shifts/<str:username>/", day_crews.ShiftView.as_view()
    ),
    path("branches/<str:code>/skills/<str:username>/", day_crews.SkillsView.as_view()),
    path("docks/<int:pk>/way/", day_crews.DockWayView.as_view()),
    path("jobs/<uuid:job_id>/schedule/", scheduling.JobScheduleView.as_view()),
    path("jobs/<uuid:job_id>/fits/", fits.JobFitsView.as_view()),
    path("jobs/<uuid:job_id>/forecast/", scheduling.JobForecastView.as_view()),
    path("jobs/<uuid:job_id>/proposals/", scheduling.JobProposalsView.as_view()),
    path("jobs/<uuid:job_id>/crew/accept/", day_crews.CrewAcceptView.as_view()),
    path("jobs/<uuid:job_id>/pins/<str:person>/", scheduling.JobPinView.as_view()),
    path("jobs/<uuid:job_id>/order/", orders.JobOrderView.as_view()),
    path("jobs/<uuid:job_id>/hand-over/", hand_over.JobHandOverView.as_view()),
    path("jobs/<uuid:job_id>/photos/", photos.JobPhotosView.as_view()),
    path("jobs/<uuid:job_id>/tags/", custody.JobTagsView.as_view()),
    path("jobs/<uuid:job_id>/pieces/<str:tag>/custody/", custody.PieceCustodyView.as_view()),
    path("jobs/<uuid:job_id>/pieces/<str:tag>/custody/epcis/", custody.PieceEpcisView.as_view()),
]
