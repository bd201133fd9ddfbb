"""What another order of pulls or a larger dock would give: the question, its worker, the answer."""

from django.db import models

from loading.models.questions import Question, question_constraints


class DockStudy(Question):
    """Asked of a stored plan, which never changes; so one that is answered stays true.

    `answer` is what `loading.services.dock_studies` tells.
    """

    plan = models.ForeignKey("loading.LoadPlan", models.PROTECT, related_name="dock_studies")
    budget_s = models.FloatField(help_text="for each order and each dock that is tried")

    class Meta:
        ordering = ["-asked_at"]
        verbose_name_plural = "dock studies"
        constraints = question_constraints("dock_study")

    def __str__(self) -> str:
        return f"{self.plan_id}: {self.status}"
