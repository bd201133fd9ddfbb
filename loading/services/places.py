"""Trucks and docks."""

from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

from django.db import transaction
from django.forms.models import model_to_dict
from django.utils.translation import gettext as _

from inventory.models import Branch
from loading.errors import BadKey, DocumentInvalid, NameTaken
from loading.models import Dock, Truck
from loading.selectors.documents import dock_document, truck_document
from loading.services.contract import part_demand_sound, road_demand_sound

Place = TypeVar("Place", Truck, Dock)


def truck_create(
    *,
    branch: Branch,
    name: str,
    interior_mm: tuple[int, int, int],
    door_mm: tuple[int, int],
    payload_g: int,
    ride: str,
    supports: Sequence[Mapping[str, Any]],
    blocked: Sequence[Mapping[str, Any]] = (),
    pads: int | None = None,
    axles: Sequence[Mapping[str, Any]] = (),
    straps: Sequence[Mapping[str, Any]] = (),
) -> Truck:
    """Add a truck; `supports` and `blocked` are in the form of the planning contract.

    `axles` and `straps` (see `Truck`) are for the rules of the road and may be left out.

    Asking twice for the same truck gives the same truck. Raises `DocumentInvalid` naming each bad
    key, `NameTaken` when the branch has another truck of that name.
    """
    length_mm, width_mm, height_mm = interior_mm
    truck = Truck(
        branch=branch,
        name=name,
        interior_length_mm=length_mm,
        interior_width_mm=width_mm,
        interior_height_mm=height_mm,
        door_width_mm=door_mm[0],
        door_height_mm=door_mm[1],
        payload_g=payload_g,
        ride=ride,
        supports=[dict(support) for support in supports],
        blocked=[dict(box) for box in blocked],
        pads=pads,
        axles=[dict(axle) for axle in axles],
        straps=[dict(part) for part in straps],
    )
    part_demand_sound("truck", truck_document(truck))
    _demand_door_within_box(truck)
    road_demand_sound(truck_document(truck))
    return _place_create(truck)


def dock_create(*, branch: Branch, name: str, vault_spots: int, floor_mm2: int) -> Dock:
    """Add a dock; errors and repetition as with `truck_create`."""
    dock = Dock(branch=branch, name=name, vault_spots=vault_spots, floor_mm2=floor_mm2)
    part_demand_sound("dock", dock_document(dock))
    _demand_room(dock)
    return _place_create(dock)


def _demand_door_within_box(truck: Truck) -> None:
    sides = zip(
        ("width", "height"),
        (truck.door_width_mm, truck.door_height_mm),
        truck.interior_mm[1:],
        strict=True,
    )
    faults = tuple(
        BadKey(
            f"/door_mm/{n}",
            _("the doorway's %(side)s is more than the box's %(inside)s mm")
            % {"side": side, "inside": inside},
        )
        for n, (side, door, inside) in enumerate(sides)
        if door > inside
    )
    if faults:
        raise DocumentInvalid(faults)


def _demand_room(dock: Dock) -> None:
    room = {"vault_spots": dock.vault_spots, "floor_m2": dock.floor_mm2}
    faults = tuple(BadKey(f"/{key}", _("must be more than 0")) for key, n in room.items() if n <= 0)
    if faults:
        raise DocumentInvalid(faults)


def _place_create(place: Place) -> Place:
    """Insert it, or find the same one that was inserted before."""
    kind = type(place)
    with transaction.atomic():
        stored, created = kind._default_manager.get_or_create(
            branch=place.branch, name=place.name, defaults=_content(place)
        )
    if not created and _content(stored) != _content(place):
        raise NameTaken(kind._meta.model_name or "", place.name)
    return stored


def _content(place: Truck | Dock) -> dict[str, Any]:
    return model_to_dict(place, exclude=["id", "branch", "name"])
