"""A load small enough to know by heart: two vaults, a loose piece, two tiers, one fill.

Vault V1 has another customer's X9 on top, V2 stands behind it; the dock has room for one vault.
"""

from typing import Any

REQUEST: dict[str, Any] = {
    "form": "load-request/1",
    "request": "small",
    "truck": {
        "name": "box",
        "interior_mm": [4000, 2000, 2200],
        "payload_kg": 5000,
        "ride": "air",
        "door_mm": [2000, 2200],
        "blocked": [],
        "supports": [
            {"name": "front", "x_mm": 0, "tare_kg": 2000, "limit_kg": 6000},
            {"name": "rear", "x_mm": 3500, "tare_kg": 2000, "limit_kg": 6000},
        ],
    },
    "trip": {"distance_km": 20},
    "dock": {"vault_spots": 1, "floor_m2": 5},
    "lanes": {"names": ["L1", "L2"], "depth": 2, "levels": 2},
    "pad_mm": 10,
    "pull_order": None,
    "vaults": [
        {
            "code": "V1",
            "lane": "L1",
            "depth": 1,
            "level": 1,
            "items": ["001", "002", "003", "004"],
        },
        {"code": "V2", "lane": "L1", "depth": 2, "level": 1, "items": ["005", "006"]},
    ],
    "other_vaults": [{"code": "X9", "lane": "L1", "depth": 1, "level": 2}],
    "progress": None,
}


def item(tag: str, name: str, size_mm: list[int], weight_kg: float, **more: Any) -> dict[str, Any]:
    return {
        "tag": tag,
        "name": name,
        "size_mm": size_mm,
        "weight_kg": weight_kg,
        "postures": ["standing"],
        "wrap": False,
        "bears_kg": 100,
        "level": None,
        "fragile": False,
        "carton": False,
        "soft": False,
        "openings": [],
        "stop": 1,
        "set": None,
        "last_on": False,
        **more,
    }


REQUEST["items"] = [
    item("001", "chest of drawers", [580, 880, 900], 45, wrap=True, pads=2, storage_pads=3),
    item("002", "large carton", [600, 550, 500], 15, carton=True),
    item("003", "medium carton", [600, 450, 500], 14, carton=True),
    item("004", "light carton", [600, 550, 400], 8, carton=True),
    item("005", "lamp carton", [600, 450, 400], 6, carton=True, fragile=True),
    item("006", "sofa", [1980, 880, 800], 60, wrap=True, pads=4),
    item("007", "mattress", [2000, 300, 1000], 25),
]


def placed(tag: str, tier: int, at_mm: list[int], size_mm: list[int]) -> dict[str, Any]:
    return {
        "tag": tag,
        "tier": tier,
        "level": "base" if at_mm[2] == 0 else "middle",
        "at_mm": at_mm,
        "size_mm": size_mm,
        "posture": "standing",
        "inside": None,
    }


PLAN: dict[str, Any] = {
    "form": "load-plan/1",
    "request": "small",
    "steps": [
        {"do": "move", "vault": "X9", "lane": "L2"},
        {"do": "pull", "vault": "V1"},
        {"do": "unpack", "tag": "001"},
        {"do": "load", "tag": "001"},
        {"do": "unpack", "tag": "002"},
        {"do": "load", "tag": "002"},
        {"do": "unpack", "tag": "003"},
        {"do": "load", "tag": "003"},
        {"do": "fill", "fill": 1},
        {"do": "unpack", "tag": "004"},
        {"do": "load", "tag": "004"},
        {"do": "clear", "vault": "V1"},
        {"do": "pull", "vault": "V2"},
        {"do": "unpack", "tag": "005"},
        {"do": "load", "tag": "005"},
        {"do": "close", "tier": 1},
        {"do": "unpack", "tag": "006"},
        {"do": "clear", "vault": "V2"},
        {"do": "load", "tag": "006"},
        {"do": "fetch", "tag": "007"},
        {"do": "load", "tag": "007"},
        {"do": "close", "tier": 2},
    ],
    "placements": [
        placed("001", 1, [0, 0, 0], [600, 900, 920]),
        placed("002", 1, [0, 900, 0], [600, 550, 500]),
        placed("003", 1, [0, 1550, 0], [600, 450, 500]),
        placed("004", 1, [0, 900, 500], [600, 550, 400]),
        placed("005", 1, [0, 1550, 500], [600, 450, 400]),
        placed("006", 2, [600, 0, 0], [900, 2000, 820]),
        placed("007", 2, [1500, 0, 0], [300, 2000, 1000]),
    ],
    "fills": [{"fill": 1, "tier": 1, "at_mm": [0, 1450, 0], "size_mm": [600, 100, 500], "pads": 1}],
    "left_off": [],
    "warnings": [],
    "figures": {},
}
