from django.urls import path

from loading import views

app_name = "loading"

urlpatterns = [
    path("plans/<int:plan_id>/", views.plan_page, name="plan"),
    path("plans/<int:plan_id>/papers/", views.papers_page, name="papers"),
    path("plans/<int:plan_id>/papers/<slug:kind>.pdf", views.paper, name="paper"),
    path("plans/<int:plan_id>/road/", views.road_page, name="road"),
]
