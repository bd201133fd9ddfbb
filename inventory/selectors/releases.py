"""Whether a shipment may go out."""

from inventory.models import Hold, Shipment


def shipment_is_held(*, shipment: Shipment) -> bool:
    """Tell whether the office holds a shipment: it may be planned, but nothing of it is moved."""
    return Hold.objects.filter(shipment=shipment, lifted_at__isnull=True).exists()
