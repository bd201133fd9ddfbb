"""Loads for the rules of the road, from hand-built scenes."""

from typing import Any

from loading.planner.plan import LoadPlan, parse_plan
from loading.planner.request import LoadRequest, parse_request
from loading.road.aboard import Aboard
from tests.loading.planner.scene import Scene


def parsed(scene: Scene) -> tuple[LoadRequest, LoadPlan]:
    return parse_request(scene.request), parse_plan(scene.plan)


def piece(weight_g: int, x_mm: int, *, length_mm: int = 2, **keys: Any) -> Aboard:
    """A piece whose middle is at `x_mm`."""
    given: dict[str, Any] = {
        "tag": f"{x_mm}",
        "name": "piece",
        "weight_g": weight_g,
        "at_mm": (x_mm - length_mm // 2, 0, 0),
        "size_mm": (length_mm, 1000, 1000),
        "tier": 1,
        "stop": 1,
    }
    return Aboard(**(given | keys))
