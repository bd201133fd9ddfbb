"""What is wanted, made, and being made: the part that rows made by a worker have in common."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q


class MadeByWorker(models.Model):
    """Something that a worker makes anew whenever it is wanted.

    Each wish counts `wanted` up; whoever makes it notes in `made` the count that it answers, so
    that wishes that come meanwhile are not lost and many wishes are one piece of work. A worker
    claims the row until `lease_until`; `attempt` tells a worker whether it is still its own.
    """

    wanted = models.PositiveBigIntegerField(default=0)
    made = models.PositiveBigIntegerField(default=0)
    asked_at = models.DateTimeField(null=True, blank=True)
    claimed_by = models.CharField(max_length=120, blank=True)
    attempt = models.PositiveBigIntegerField(default=0)
    lease_until = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        abstract = True
        constraints: ClassVar[tuple[models.BaseConstraint, ...]] = (
            models.CheckConstraint(
                condition=Q(made__lte=F("wanted")), name="%(class)s_made_because_wanted"
            ),
        )
