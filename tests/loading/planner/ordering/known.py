"""A planner that is known: how long the load gets follows from the pull order alone."""

from collections.abc import Callable, Mapping

from loading.planner.plan import LoadPlan, Placement, Step
from loading.planner.pulls import retrieve, yard_of
from loading.planner.request import LoadRequest, parse_request
from tests.loading.planner.scene import empty_request, item


def three_vaults(**changed: object) -> LoadRequest:
    """One spot. V1 stands free, V2 behind a stranger, V3 behind V2; each holds its piece."""
    document = empty_request()
    document["lanes"] = {"depth": 3, "levels": 1, "names": ["A", "B", "C"]}
    document["dock"] = {"vault_spots": 1, "floor_m2": 10}
    document["vaults"] = [
        {"code": "V1", "lane": "A", "depth": 3, "level": 1, "items": ["1"]},
        {"code": "V2", "lane": "B", "depth": 2, "level": 1, "items": ["2"]},
        {"code": "V3", "lane": "B", "depth": 3, "level": 1, "items": ["3"]},
    ]
    document["other_vaults"] = [{"code": "X1", "lane": "B", "depth": 1, "level": 1}]
    document["items"] = [item(tag, (500, 500, 500)) for tag in "123"]
    return parse_request(document | changed)


class KnownPlanner:
    """Plans at once; remembers the orders and parts of the budget that it was asked with."""

    def __init__(self, length_mm: Mapping[str, int], wait_s: int = 0) -> None:
        self.length_mm = length_mm
        self.asked: list[tuple[str, float]] = []

    def __call__(self, request: LoadRequest, part: float) -> LoadPlan:
        order = request.pull_order
        assert order is not None
        self.asked.append((" ".join(order), part))
        return plan_for(request, self.length_mm.get(" ".join(order), 2000))


def plan_for(request: LoadRequest, length_mm: int) -> LoadPlan:
    """Pulls in the request's order, loads each piece as it comes."""
    steps: list[Step] = []
    inside = {vault.code: vault.items for vault in request.vaults}
    for step in retrieve(yard_of(request), request.pull_order or ()).steps:
        if step[0] == "move":
            steps.append(Step("move", vault=step[1], lane=step[2]))
            continue
        steps.append(Step("pull", vault=step[1]))
        for tag in inside[step[1]]:
            steps += [Step("unpack", tag=tag), Step("load", tag=tag)]
        steps.append(Step("clear", vault=step[1]))
    places = [Placement(i.tag, 1, "base", (0, 0, 0), i.size_mm, "standing") for i in request.items]
    return LoadPlan(request.name, tuple(steps), tuple(places), figures={"length_mm": length_mm})


Planner = Callable[[LoadRequest, float], LoadPlan]
