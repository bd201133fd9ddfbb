"""Which truck takes a release: the question, its worker, and the answer."""

from typing import Any

from django.db import models

from loading.models.questions import Question, question_constraints


class TruckChoice(Question):
    """A fleet to choose from for the goods of a release.

    `request_document` and `fleet` (trucks in the form of the planning contract) are frozen when it
    is asked, so that the answer stays true to its question. `answer` is what
    `loading.services.truck_choices` tells.
    """

    branch = models.ForeignKey("inventory.Branch", models.PROTECT, related_name="truck_choices")
    release = models.ForeignKey("inventory.Release", models.PROTECT, related_name="truck_choices")
    dock = models.ForeignKey("loading.Dock", models.PROTECT, related_name="+")
    distance_km = models.FloatField()
    request_document: "models.JSONField[dict[str, Any]]" = models.JSONField()
    fleet: "models.JSONField[list[dict[str, Any]]]" = models.JSONField()
    seed = models.PositiveIntegerField(default=1)
    budget_s = models.FloatField(help_text="for each truck that is tried")

    class Meta:
        ordering = ["-asked_at"]
        constraints = question_constraints("truck_choice")

    def __str__(self) -> str:
        return f"{self.release_id}: {self.status}"
