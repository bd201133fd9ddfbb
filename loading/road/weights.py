"""The weights of a plan on the road, all rules together."""

from dataclasses import dataclass, replace
from fractions import Fraction

from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from loading.road.aboard import Aboard, aboard_of
from loading.road.axles import Axle, axle_weights
from loading.road.bridge import AxleGroup, axle_groups
from loading.road.gravity import Gravity, gravity_of
from loading.road.moments import (
    SLACK_G,
    Moment,
    Overload,
    loading_moments,
    overloads,
    road_moments_of,
    worst_overloads,
)
from loading.road.pounds import grams

PAYLOAD_SLACK_G = 50


@dataclass(frozen=True, slots=True)
class OverRating:
    """An axle (from 1, front to rear) over the limit of its own plate or tyres."""

    moment: Moment
    axle: int
    gross_g: int
    limit_g: int

    @property
    def over_g(self) -> int:
        return self.gross_g - self.limit_g


@dataclass(frozen=True, slots=True)
class OverBridge:
    """A group of axles over what the bridge formula allows."""

    moment: Moment
    group: AxleGroup

    @property
    def over_g(self) -> int:
        return round(grams(self.group.over_lb))


@dataclass(frozen=True, slots=True)
class Weights:
    """What a load weighs where, and what does not pass.

    `groups` are the axle groups at departure (empty without axles). `at_the_dock` is what is over
    its limit only while the truck is loaded: a caution, the truck does not drive like that.
    """

    pieces: tuple[Aboard, ...]
    payload_g: int
    moments: tuple[Moment, ...]
    gravity: Gravity | None
    groups: tuple[AxleGroup, ...]
    on_the_road: tuple[Overload, ...]
    at_the_dock: tuple[Overload, ...]
    over_ratings: tuple[OverRating, ...]
    over_bridge: tuple[OverBridge, ...]

    @property
    def load_g(self) -> int:
        return self.moments[0].load_g

    @property
    def gross_g(self) -> int:
        """Truck and load at departure."""
        return round(sum(self.moments[0].gross_g))

    @property
    def over_payload_g(self) -> int:
        over = self.load_g - self.payload_g
        return over if over > PAYLOAD_SLACK_G else 0

    @property
    def excess_g(self) -> int:
        """All that is over a limit on the road, added up: 0 means that the weights pass."""
        on_supports = sum(over.over_g for over in self.on_the_road)
        on_axles = sum(over.over_g for over in self.over_ratings)
        on_groups = sum(over.over_g for over in self.over_bridge)
        return self.over_payload_g + on_supports + on_axles + on_groups


def weights_of(request: LoadRequest, plan: LoadPlan, axles: tuple[Axle, ...] = ()) -> Weights:
    """Judge a plan's weights at every moment; `axles` of the truck, if its record has them."""
    supports = request.truck.supports
    dock = worst_overloads(supports, loading_moments(request, plan))
    found = road_weights(request, aboard_of(request, plan), axles)
    known = {(over.support, over.lifted) for over in found.on_the_road}
    rest = tuple(over for over in dock if (over.support, over.lifted) not in known)
    return replace(found, at_the_dock=rest)


def road_weights(
    request: LoadRequest, pieces: tuple[Aboard, ...], axles: tuple[Axle, ...] = ()
) -> Weights:
    """The same for pieces alone, without the moments at the dock."""
    supports = request.truck.supports
    moments = road_moments_of(request, pieces)
    return Weights(
        pieces=pieces,
        payload_g=request.truck.payload_g,
        moments=moments,
        gravity=gravity_of(request.truck.interior_mm, pieces),
        groups=tuple(_groups(request, axles, moments[0])) if axles else (),
        on_the_road=tuple(over for moment in moments for over in overloads(supports, moment)),
        at_the_dock=(),
        over_ratings=tuple(over for m in moments for over in _over_ratings(request, axles, m)),
        over_bridge=tuple(
            OverBridge(moment, group)
            for moment in moments
            if axles
            for group in _groups(request, axles, moment)
            if group.over_lb > 0
        ),
    )


def _groups(request: LoadRequest, axles: tuple[Axle, ...], moment: Moment) -> list[AxleGroup]:
    return list(axle_groups(axle_weights(axles, request.truck.supports, moment.shares_g)))


def _over_ratings(
    request: LoadRequest, axles: tuple[Axle, ...], moment: Moment
) -> list[OverRating]:
    weights = axle_weights(axles, request.truck.supports, moment.shares_g)
    ordered = sorted(zip(axles, weights, strict=True), key=lambda pair: pair[0].x_mm)
    return [
        OverRating(moment, number, round(weight.weight_g), axle.limit_g)
        for number, (axle, weight) in enumerate(ordered, start=1)
        if axle.limit_g is not None and Fraction(weight.weight_g) - axle.limit_g > SLACK_G
    ]
