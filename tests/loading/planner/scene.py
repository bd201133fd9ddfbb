"""Small loads built by hand, as the documents of the contract.

A scene starts with an empty truck 3000 x 1000 x 1000 mm. What is added is fetched and loaded in
that order, and each tier is closed when the next begins. Tests then change one thing.
"""

from typing import Any

from loading.planner.checker import Report, check_plan
from loading.planner.plan import parse_plan
from loading.planner.request import parse_request

Document = dict[str, Any]


def item(tag: str, size_mm: tuple[int, int, int], **keys: Any) -> Document:
    return {
        "tag": tag,
        "name": f"piece {tag}",
        "size_mm": list(size_mm),
        "weight_kg": 10,
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
        **keys,
    }


def empty_request() -> Document:
    return {
        "form": "load-request/1",
        "request": "scene",
        "truck": {
            "name": "short box",
            "interior_mm": [3000, 1000, 1000],
            "payload_kg": 5000,
            "ride": "spring",
            "door_mm": [1000, 1000],
            "blocked": [],
            "supports": [
                {"name": "front axle", "x_mm": -1000, "tare_kg": 2000, "limit_kg": 4000},
                {"name": "rear axle", "x_mm": 2000, "tare_kg": 2000, "limit_kg": 6000},
            ],
        },
        "trip": {"distance_km": 40},
        "dock": {"vault_spots": 2, "floor_m2": 20},
        "lanes": {"depth": 2, "levels": 2, "names": ["A", "B"]},
        "vaults": [],
        "other_vaults": [],
        "pull_order": None,
        "pad_mm": 10,
        "items": [],
        "progress": None,
    }


class Scene:
    """A request and its plan; both are plain documents that a test may change."""

    def __init__(self) -> None:
        self.request = empty_request()
        self.plan: Document = {
            "form": "load-plan/1",
            "request": "scene",
            "steps": [],
            "placements": [],
            "fills": [],
            "left_off": [],
            "warnings": [],
            "figures": {},
        }
        self._tier = 1

    @property
    def steps(self) -> list[Document]:
        steps: list[Document] = self.plan["steps"]
        return steps

    def piece(
        self,
        tag: str,
        at_mm: tuple[int, int, int],
        size_mm: tuple[int, int, int],
        *,
        tier: int = 1,
        level: str = "base",
        posture: str = "standing",
        inside: str | None = None,
        bare_mm: tuple[int, int, int] | None = None,
        **keys: Any,
    ) -> "Scene":
        """`size_mm` is as it rides; `bare_mm` the size on the list where that is another."""
        self._close_before(tier)
        self.request["items"].append(item(tag, bare_mm or size_mm, **keys))
        self.plan["placements"].append(
            {
                "tag": tag,
                "tier": tier,
                "level": level,
                "at_mm": list(at_mm),
                "size_mm": list(size_mm),
                "posture": posture,
                "inside": inside,
            }
        )
        self.steps.extend([{"do": "fetch", "tag": tag}, {"do": "load", "tag": tag}])
        return self

    def fill(
        self,
        number: int,
        at_mm: tuple[int, int, int],
        size_mm: tuple[int, int, int],
        *,
        pads: int | None = None,
        tier: int = 1,
    ) -> "Scene":
        self._close_before(tier)
        enough = -(-size_mm[0] * size_mm[1] * size_mm[2] // 30_000_000)
        self.plan["fills"].append(
            {
                "fill": number,
                "tier": tier,
                "at_mm": list(at_mm),
                "size_mm": list(size_mm),
                "pads": enough if pads is None else pads,
            }
        )
        self.steps.append({"do": "fill", "fill": number})
        return self

    def _close_before(self, tier: int) -> None:
        if tier != self._tier:
            self.close()
            self._tier = tier

    def close(self) -> "Scene":
        self.steps.append({"do": "close", "tier": self._tier})
        return self

    def item(self, tag: str) -> Document:
        found: Document = next(i for i in self.request["items"] if i["tag"] == tag)
        return found

    def place(self, tag: str) -> Document:
        found: Document = next(p for p in self.plan["placements"] if p["tag"] == tag)
        return found

    def begun(self, steps: int) -> "Scene":
        """Makes the first steps of the plan the request's progress, with what they put in."""
        done = self.steps[:steps]
        tags = {step.get("tag") for step in done if step["do"] == "load"}
        fills = {step.get("fill") for step in done if step["do"] == "fill"}
        self.request["progress"] = {
            "steps": [dict(step) for step in done],
            "placements": [dict(p) for p in self.plan["placements"] if p["tag"] in tags],
            "fills": [dict(f) for f in self.plan["fills"] if f["fill"] in fills],
        }
        return self

    def report(self) -> Report:
        return check_plan(parse_request(self.request), parse_plan(self.plan))

    def broken(self) -> set[str]:
        """The rules that the plan breaks."""
        return {fault.rule for fault in self.report().broken}


def full_wall() -> Scene:
    """Two chests and two cartons on them across the whole width, then a long box: no play."""
    return (
        Scene()
        .piece("001", (0, 0, 0), (500, 500, 400))
        .piece("002", (0, 500, 0), (500, 500, 400))
        .piece("003", (0, 0, 400), (500, 500, 300), level="top")
        .piece("004", (0, 500, 400), (500, 500, 300), level="top")
        .piece("005", (500, 0, 0), (400, 1000, 500), tier=2)
        .close()
    )


def from_vaults() -> Scene:
    """The full wall out of a vault behind another customer's, but for the loose box 005."""
    scene = full_wall()
    scene.request["vaults"] = [
        {"code": "V1", "lane": "A", "depth": 2, "level": 1, "items": ["001", "002"]},
        {"code": "V2", "lane": "B", "depth": 2, "level": 2, "items": ["003", "004"]},
    ]
    scene.request["other_vaults"] = [
        {"code": "X1", "lane": "A", "depth": 1, "level": 1},
        {"code": "X2", "lane": "B", "depth": 2, "level": 1},
    ]
    steps: list[Document] = [
        {"do": "pull", "vault": "V2"},
        {"do": "move", "vault": "X1", "lane": "B"},
        {"do": "pull", "vault": "V1"},
    ]
    for tag in ("001", "002", "003", "004"):
        steps += [{"do": "unpack", "tag": tag}, {"do": "load", "tag": tag}]
    steps += [{"do": "close", "tier": 1}, {"do": "clear", "vault": "V1"}]
    steps += [{"do": "clear", "vault": "V2"}, {"do": "fetch", "tag": "005"}]
    steps += [{"do": "load", "tag": "005"}, {"do": "close", "tier": 2}]
    scene.plan["steps"] = steps
    return scene
