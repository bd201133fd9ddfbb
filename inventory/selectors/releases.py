"""Whether a shipment may go out."""

from django.db.models import QuerySet

from inventory.models import Hold, Shipment


def standing_holds() -> QuerySet[Hold]:
    """What the office has against shipments: they may be planned, but nothing of them is moved."""
    return Hold.objects.filter(lifted_at__isnull=True)


def shipment_is_held(*, shipment: Shipment) -> bool:
    """Tell whether the office holds a shipment."""
    return standing_holds().filter(shipment=shipment).exists()
