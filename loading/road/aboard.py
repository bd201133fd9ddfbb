"""The pieces of a plan as weights in the truck."""

from dataclasses import dataclass

from loading.planner.plan import LoadPlan, Size
from loading.planner.request import LoadRequest


@dataclass(frozen=True, slots=True)
class Aboard:
    """A piece in the truck: `at_mm` is its corner nearest the nose, left wall and deck."""

    tag: str
    name: str
    weight_g: int
    at_mm: Size
    size_mm: Size
    tier: int
    stop: int

    def twice_middle_mm(self, axis: int) -> int:
        """Twice the place of its middle along an axis, which is always whole."""
        return 2 * self.at_mm[axis] + self.size_mm[axis]


def aboard_of(request: LoadRequest, plan: LoadPlan) -> tuple[Aboard, ...]:
    """What the plan places, in its order; its weight is taken to lie in a piece's middle."""
    return tuple(
        Aboard(
            tag=place.tag,
            name=request.item(place.tag).name,
            weight_g=request.item(place.tag).weight_g,
            at_mm=place.at_mm,
            size_mm=place.size_mm,
            tier=place.tier,
            stop=request.item(place.tag).stop,
        )
        for place in plan.placements
        if request.has_item(place.tag)
    )
