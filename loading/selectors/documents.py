"""Trucks, docks and loads in the form of the planning contract (kilograms, square metres)."""

from collections.abc import Sequence
from typing import Any

from inventory.models import Release
from inventory.selectors import request_parts
from loading.models import Dock, Load, Truck

REQUEST_FORM = "load-request/1"


def truck_document(truck: Truck) -> dict[str, Any]:
    document = {
        "name": truck.name,
        "interior_mm": list(truck.interior_mm),
        "payload_kg": kilograms(truck.payload_g),
        "ride": truck.ride,
        "door_mm": [truck.door_width_mm, truck.door_height_mm],
        "blocked": truck.blocked,
        "supports": truck.supports,
    }
    told = {"pads": truck.pads} if truck.pads is not None else {}
    # The contract knows none of these and passes them over; a stored plan keeps them for the road.
    road = {"axles": truck.axles, "straps": truck.straps}
    return {**document, **told, **{key: value for key, value in road.items() if value}}


def dock_document(dock: Dock) -> dict[str, Any]:
    return {"vault_spots": dock.vault_spots, "floor_m2": dock.floor_mm2 / 1_000_000}


def load_request_document(
    *,
    load: Load,
    progress: dict[str, Any] | None = None,
    besides: Sequence[Release] | None = None,
) -> dict[str, Any]:
    """Build the load request as storage, truck and dock stand now. Its name is the load's.

    `besides` tells the other releases of a load that is not stored yet.
    """
    aboard = load.also_aboard() if besides is None else besides
    goes_back = {"shifted_go_back": True} if load.branch.shifted_go_back else {}
    return {
        "form": REQUEST_FORM,
        "request": load.reference,
        "truck": truck_document(load.truck),
        "trip": {"distance_km": load.distance_km},
        "dock": dock_document(load.dock),
        "pad_mm": load.pad_mm,
        "pull_order": load.pull_order,
        **request_parts(release=load.release, besides=aboard),
        "progress": progress,
        **goes_back,
    }


def places_kept(*, document: dict[str, Any], former: dict[str, Any]) -> dict[str, Any]:
    """A request with the places of loose pieces that a former one told: the planner drops them."""
    places = {item["tag"]: item["place"] for item in former["items"] if "place" in item}
    items = [
        {**item, "place": places[item["tag"]]} if item["tag"] in places else item
        for item in document["items"]
    ]
    return {**document, "items": items}


def kilograms(weight_g: int) -> float:
    return round(weight_g / 1000, 1)
