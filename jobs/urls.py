from datetime import date

from django.urls import path, register_converter

from jobs import views


class DayConverter:
    """A date in an address: 2026-03-04."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:
        return date.fromisoformat(value)

    def to_url(self, value: date) -> str:
        return value.isoformat()


register_converter(DayConverter, "day")

app_name = "jobs"

urlpatterns = [
    path("", views.day, name="today"),
    path("days/<day:day>/", views.day, name="day"),
    path("jobs/<uuid:job_id>/", views.job, name="job"),
    path("jobs/<uuid:job_id>/tasks/", views.tasks, name="tasks"),
    path("jobs/<uuid:job_id>/pulls/", views.pulls, name="pulls"),
    path("jobs/<uuid:job_id>/tiers/", views.tier, name="tiers"),
    path("jobs/<uuid:job_id>/tiers/<int:number>/", views.tier, name="tier"),
    path("jobs/<uuid:job_id>/plans/<int:plan_id>/accept/", views.accept, name="accept"),
    path("jobs/<uuid:job_id>/plan/", views.plan, name="plan"),
    path("jobs/<uuid:job_id>/crew/", views.crew, name="crew"),
    path("jobs/<uuid:job_id>/tasks/<uuid:task_id>/report/", views.report, name="report"),
    path("reports/<uuid:event_uuid>/undo/", views.undo, name="undo"),
    path("my-task/", views.my_task, name="my-task"),
]
