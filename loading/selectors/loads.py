"""Loads and the shipments aboard."""

from django.db.models import Q, QuerySet

from inventory.models import Item
from inventory.selectors import item_labels, standing_holds
from loading.models import Load


def loads_of_shipment(*, shipment_id: int) -> QuerySet[Load]:
    """Every load with something of a shipment, alone or beside others."""
    found = Load.objects.filter(Q(release__shipment=shipment_id) | Q(besides__shipment=shipment_id))
    return found.distinct()


def load_is_held(*, load: Load) -> bool:
    """Whether the office holds any of the shipments aboard; the truck then waits as a whole."""
    aboard = Q(shipment__releases__loads=load) | Q(shipment__releases__loads_besides=load)
    return standing_holds().filter(aboard).exists()


def load_labels(*, load: Load, left: bool = False, placed: bool = True) -> list[tuple[Item, str]]:
    """The pieces of all its releases with their names in its request; see `item_labels`."""
    return item_labels(release=load.release, besides=load.also_aboard(), left=left, placed=placed)


def load_shipments(*, load: Load) -> str:
    """The shipments aboard by their references, in the order of their delivery."""
    return ", ".join(release.shipment.reference for release in load.releases())
