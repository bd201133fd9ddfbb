from rest_framework.routers import SimpleRouter

from jobs.api import views

router = SimpleRouter()
router.register("jobs", views.JobViewSet, basename="job")
router.register("my-task", views.MyTaskViewSet, basename="my-task")

urlpatterns = router.urls
