from django.urls import path

from loading.views import equipment, plans, scale, studies, trucks

app_name = "loading"

urlpatterns = [
    path("plans/<int:plan_id>/", plans.plan_page, name="plan"),
    path("plans/<int:plan_id>/papers/", plans.papers_page, name="papers"),
    path("plans/<int:plan_id>/papers/<slug:kind>.pdf", plans.paper, name="paper"),
    path("<slug:branch_code>/equipment/", equipment.ledger_page, name="ledger"),
    path("releases/<int:release_id>/trucks/", trucks.choose_page, name="choose-truck"),
    path("truck-choices/<uuid:choice_id>/", trucks.choice_page, name="truck-choice"),
    path(
        "truck-choices/<uuid:choice_id>/second-trip/",
        trucks.choice_trip,
        name="choice-second-trip",
    ),
    path("plans/<int:plan_id>/second-trip/", plans.plan_trip, name="plan-second-trip"),
    path("loads/<int:load_id>/scale/", scale.scale_page, name="scale"),
    path("loads/<int:load_id>/weight-record.pdf", scale.scale_paper, name="weight-record"),
    path("plans/<int:plan_id>/dock/", studies.study_page, name="study"),
    path("plans/<int:plan_id>/road/", plans.road_page, name="road"),
]
