"""A load request written back as a JSON document, the inverse of `parse_request`."""

from collections import Counter

from loading.planner.plan import fill_document, placement_document, step_document
from loading.planner.reading import unscaled
from loading.planner.request.data import Item, LoadRequest, OtherVault, Truck, Vault

FORM = "load-request/1"


def request_document(request: LoadRequest) -> dict[str, object]:
    """Kilograms and millimetres again; optional keys only where they differ from the default."""
    order = request.pull_order
    own: dict[str, object] = {"shifted_go_back": True} if request.shifted_go_back else {}
    own |= {"after_loads": list(request.after_loads)} if request.after_loads else {}
    return {
        "form": FORM,
        "request": request.name,
        "truck": _truck(request.truck),
        "trip": {"distance_km": request.distance_km},
        "dock": {
            "vault_spots": request.dock.vault_spots,
            "floor_m2": unscaled(request.dock.floor_mm2, 6),
        },
        "lanes": _lanes(request),
        "vaults": [_place(vault) | {"items": list(vault.items)} for vault in request.vaults],
        "other_vaults": [_place(vault) for vault in request.other_vaults],
        "pull_order": None if order is None else list(order),
        "pad_mm": request.pad_mm,
        "items": [_item(item) for item in request.items],
        "progress": _progress(request),
        **own,
    }


def _truck(truck: Truck) -> dict[str, object]:
    document: dict[str, object] = {
        "name": truck.name,
        "interior_mm": list(truck.interior_mm),
        "payload_kg": unscaled(truck.payload_g, 3),
        "ride": truck.ride,
        "door_mm": list(truck.door_mm),
        "blocked": [
            {"name": box.name, "at_mm": list(box.at_mm), "size_mm": list(box.size_mm)}
            for box in truck.blocked
        ],
        "supports": [
            {
                "name": support.name,
                "x_mm": support.x_mm,
                "tare_kg": unscaled(support.tare_g, 3),
                "limit_kg": unscaled(support.limit_g, 3),
            }
            for support in truck.supports
        ],
    }
    return document if truck.pads is None else document | {"pads": truck.pads}


def _lanes(request: LoadRequest) -> dict[str, object]:
    sizes = Counter((lane.depth, lane.levels) for lane in request.lanes)
    (depth, levels), _ = sizes.most_common(1)[0] if sizes else ((1, 1), 0)
    unlike = {
        lane.name: [lane.depth, lane.levels]
        for lane in request.lanes
        if (lane.depth, lane.levels) != (depth, levels)
    }
    names = [lane.name for lane in request.lanes]
    document: dict[str, object] = {"depth": depth, "levels": levels, "names": names}
    return document | {"of": unlike} if unlike else document


def _place(vault: Vault | OtherVault) -> dict[str, object]:
    return {
        "code": vault.code,
        "lane": vault.lane,
        "depth": vault.depth,
        "level": vault.level,
    }


def _item(item: Item) -> dict[str, object]:
    document: dict[str, object] = {
        "tag": item.tag,
        "name": item.name,
        "size_mm": list(item.size_mm),
        "weight_kg": unscaled(item.weight_g, 3),
        "postures": list(item.postures),
        "wrap": item.wrap,
        "bears_kg": unscaled(item.bears_g, 3),
        "level": item.level,
        "fragile": item.fragile,
        "carton": item.carton,
        "soft": item.soft,
        "openings": [
            {"at_mm": list(opening.at_mm), "size_mm": list(opening.size_mm)}
            for opening in item.openings
        ],
        "stop": item.stop,
        "set": item.set_name,
        "last_on": item.last_on,
    }
    optional: dict[str, tuple[object, object]] = {
        "leaves": (item.leaves, True),
        "size_from": (item.size_from, "measured"),
        "handling": (item.handling, None),
        "pads": (item.pads, None),
        "storage_pads": (item.storage_pads, None),
    }
    said = {key: value for key, (value, default) in optional.items() if value != default}
    return document | said


def _progress(request: LoadRequest) -> dict[str, object] | None:
    progress = request.progress
    if progress is None:
        return None
    return {
        "steps": [step_document(step) for step in progress.steps],
        "placements": [placement_document(placement) for placement in progress.placements],
        "fills": [fill_document(fill) for fill in progress.fills],
    }
