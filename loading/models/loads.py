"""What is to be loaded onto which truck, at which dock."""

from django.db import models
from django.db.models import Q

from inventory.models import Release


class Load(models.Model):
    """A released shipment, a truck and a dock: what plans are made for.

    `besides` are releases of other shipments that ride along, delivered after `release`, in the
    order of their keys.
    """

    branch = models.ForeignKey("inventory.Branch", models.PROTECT, related_name="loads")
    reference = models.CharField(max_length=60)
    release = models.ForeignKey("inventory.Release", models.PROTECT, related_name="loads")
    besides = models.ManyToManyField("inventory.Release", blank=True, related_name="loads_besides")
    truck = models.ForeignKey("loading.Truck", models.PROTECT, related_name="loads")
    dock = models.ForeignKey("loading.Dock", models.PROTECT, related_name="loads")
    distance_km = models.FloatField()
    pad_mm = models.PositiveSmallIntegerField()
    pull_order: "models.JSONField[list[str] | None]" = models.JSONField(null=True, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-created_at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["branch", "reference"], name="load_reference_once"),
            models.CheckConstraint(condition=~Q(reference=""), name="load_has_reference"),
            models.CheckConstraint(condition=Q(distance_km__gte=0), name="load_distance_positive"),
        ]

    def __str__(self) -> str:
        return self.reference

    def also_aboard(self) -> tuple[Release, ...]:
        """The releases besides the first, in the order of their delivery."""
        return tuple(self.besides.select_related("shipment__branch").order_by("pk"))

    def releases(self) -> tuple[Release, ...]:
        """All that ride in this truck, in the order of their delivery."""
        return (self.release, *self.also_aboard())
