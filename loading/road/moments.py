"""The supports at every moment of loading, ready to drive off, and after every stop.

A load that passes when it is complete may not pass on the way: what is delivered first stands at
the doors, often behind the rear axle, where it takes weight off the front.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest, Support
from loading.road.aboard import Aboard, aboard_of
from loading.road.statics import Shares, gross_g, support_shares_g

SLACK_G = 500
"""Half a kilogram over a limit is the rounding of weights, as in the planning contract."""


class When(Enum):
    LOADING = "loading"
    DEPARTURE = "departure"
    AFTER_STOP = "after_stop"


@dataclass(frozen=True, slots=True)
class Moment:
    """One moment. `number`: the plan's step while loading, the stop just delivered, else 0."""

    when: When
    number: int
    load_g: int
    shares_g: Shares
    gross_g: Shares

    @property
    def on_the_road(self) -> bool:
        return self.when is not When.LOADING


@dataclass(frozen=True, slots=True)
class Overload:
    """A support that carries more than its limit, or is lifted (`lifted`), by `over_g`."""

    moment: Moment
    support: str
    gross_g: int
    limit_g: int
    over_g: int
    lifted: bool


def loading_moments(request: LoadRequest, plan: LoadPlan) -> Iterator[Moment]:
    """After each step that brings a piece into the truck or takes one out."""
    pieces = {piece.tag: piece for piece in aboard_of(request, plan)}
    inside: dict[str, Aboard] = {}
    for number, step in enumerate(plan.steps, start=1):
        if step.tag not in pieces or step.do not in ("load", "take_out"):
            continue
        if step.do == "load":
            inside[step.tag] = pieces[step.tag]
        else:
            inside.pop(step.tag, None)
        yield _moment(request, When.LOADING, number, tuple(inside.values()))


def road_moments(request: LoadRequest, plan: LoadPlan) -> tuple[Moment, ...]:
    """Departure, then what is left after each stop but the last."""
    return road_moments_of(request, aboard_of(request, plan))


def road_moments_of(request: LoadRequest, pieces: tuple[Aboard, ...]) -> tuple[Moment, ...]:
    stops = sorted({piece.stop for piece in pieces})
    after = (
        _moment(request, When.AFTER_STOP, stop, tuple(p for p in pieces if p.stop > stop))
        for stop in stops[:-1]
    )
    return (_moment(request, When.DEPARTURE, 0, pieces), *after)


def _moment(request: LoadRequest, when: When, number: int, pieces: tuple[Aboard, ...]) -> Moment:
    supports = request.truck.supports
    shares = support_shares_g(supports, pieces)
    total = sum(piece.weight_g for piece in pieces)
    return Moment(when, number, total, shares, gross_g(supports, shares))


def overloads(supports: tuple[Support, Support], moment: Moment) -> Iterator[Overload]:
    """The supports that a moment overloads or lifts, by more than the slack."""
    for support, gross in zip(supports, moment.gross_g, strict=True):
        over = gross - support.limit_g
        if over > SLACK_G:
            yield Overload(
                moment, support.name, round(gross), support.limit_g, round(over), lifted=False
            )
        elif gross < -SLACK_G:
            yield Overload(
                moment, support.name, round(gross), support.limit_g, round(-gross), lifted=True
            )


def worst_overloads(
    supports: tuple[Support, Support], moments: Iterator[Moment]
) -> tuple[Overload, ...]:
    """For each support the moment that overloads it most, and the one that lifts it most."""
    worst: dict[tuple[str, bool], Overload] = {}
    for moment in moments:
        for found in overloads(supports, moment):
            key = (found.support, found.lifted)
            if key not in worst or found.over_g > worst[key].over_g:
                worst[key] = found
    return tuple(worst.values())
