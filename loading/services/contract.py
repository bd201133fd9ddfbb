"""The planning contract as a gate: a document gets in, or all its faults come back."""

from typing import Any

from loading.errors import DocumentInvalid
from loading.planner.errors import Fault, RequestError
from loading.planner.request import LoadRequest, parse_request
from loading.road.axles import parse_axles
from loading.road.gear import parse_gear
from loading.sentences import bad_keys

# A request in which only the part that is being judged may be wrong.
_SOUND: dict[str, Any] = {
    "form": "load-request/1",
    "request": "one part on trial",
    "truck": {
        "name": "truck",
        "interior_mm": [6000, 2400, 2400],
        "payload_kg": 3000,
        "ride": "air",
        "door_mm": [2300, 2300],
        "blocked": [],
        "supports": [
            {"name": "front", "x_mm": 0, "tare_kg": 1000, "limit_kg": 5000},
            {"name": "rear", "x_mm": 4000, "tare_kg": 1000, "limit_kg": 5000},
        ],
    },
    "trip": {"distance_km": 1},
    "dock": {"vault_spots": 1, "floor_m2": 10},
    "lanes": {"depth": 1, "levels": 1, "names": ["A"]},
    "vaults": [],
    "other_vaults": [],
    "pull_order": None,
    "pad_mm": 10,
    "items": [
        {
            "tag": "001",
            "name": "carton",
            "size_mm": [1, 1, 1],
            "weight_kg": 0.1,
            "postures": ["standing"],
            "wrap": False,
            "bears_kg": 0,
            "level": None,
            "fragile": False,
            "carton": True,
            "soft": False,
            "openings": [],
            "stop": 1,
            "set": None,
            "last_on": False,
        }
    ],
    "progress": None,
}


def request_parsed(document: object) -> LoadRequest:
    """Read a load request; raise `DocumentInvalid` with every fault it has."""
    try:
        return parse_request(document)
    except RequestError as error:
        raise DocumentInvalid(bad_keys(error.faults)) from error


def part_demand_sound(part: str, document: dict[str, Any]) -> None:
    """Judge one part of a request ("truck" or "dock") by itself; pointers start at that part."""
    try:
        parse_request({**_SOUND, part: document})
    except RequestError as error:
        faults = bad_keys(
            Fault(fault.pointer.removeprefix(f"/{part}"), fault.said)
            for fault in error.faults
            if fault.pointer.startswith(f"/{part}")
        )
        if faults:
            raise DocumentInvalid(faults) from error


def road_demand_sound(truck: dict[str, Any]) -> None:
    """Judge axles and straps of a truck whose other keys are sound; pointers start at the truck."""
    request = parse_request({**_SOUND, "truck": truck})
    _, of_axles = parse_axles(truck.get("axles", []), request.truck.supports)
    _, of_straps = parse_gear(truck.get("straps", []))
    faults = (*of_axles, *of_straps)
    if faults:
        raise DocumentInvalid(bad_keys(faults))
