"""Which tiers have to be strapped, when, how strongly and where: only where a rule asks for it.

In a van an article needs nothing more if it touches, or nearly, a wall or other articles so that it
cannot shift or tip (49 CFR 393.102(c), 393.106(b)). What that leaves is the end of the load, at
departure and again after each stop, pieces with more than 15 cm behind them that friction does not
hold, and tall pieces with nothing behind them to lean on. Every strap goes from wall to wall, so
that its whole working load limit counts (393.106(d)). What stands on the deck by itself may stand
on friction mats instead. Where `shaking` says that a trip shakes a load loose, a strap every 10 ft
as well: common practice, without a source; so are two straps for what is higher than 1.2 m.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from itertools import pairwise

from loading.planner.checker.layout import Layout
from loading.planner.checker.tightness import travels
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from loading.road.aboard import Aboard, aboard_of
from loading.road.facing import things_of
from loading.road.forces import BREAKING, Direction
from loading.road.friction import MAT
from loading.road.front_wall import strength_required_g
from loading.road.gear import UNMARKED_GEAR, Gear
from loading.road.rearward import Rearward, rearward
from loading.road.shaking import shakes_loose
from loading.road.tall import Tipper, tippers
from loading.road.tiedowns import LONG_MM, count_required, required_aggregate_g
from loading.road.tier_forces import TierForces, friction_left_g, tier_forces
from loading.road.voids import VOID_SUM_MM, Voids, voids_of

TWO_STRAPS_FROM_MM = 1_200


class Why(Enum):
    """The rule that asks for a strap."""

    END_OF_LOAD = "end_of_load"
    OPEN_BEHIND = "open_behind"
    MAY_TIP = "may_tip"
    LONG_TRIP = "long_trip"


@dataclass(frozen=True, slots=True)
class Strapping:
    """Straps across the rear of a tier, from wall to wall.

    `after_stop` is 0 at departure. `force_g` is what friction leaves of 0.5 g rearward, as a
    weight; `required_g` the aggregate working load limit; `heights_mm` where the straps go.
    `mats_do`: friction mats under the pieces hold them as well.
    """

    after_stop: int
    tier: int
    why: Why
    tags: tuple[str, ...]
    weight_g: int
    force_g: int
    required_g: int
    straps: int
    heights_mm: tuple[int, ...]
    at_mm: int
    mats_do: bool


@dataclass(frozen=True, slots=True)
class Holding:
    """How a load is held. `tippers` need a tie to the wall beside them: sideways or forward."""

    forces: tuple[TierForces, ...]
    strappings: tuple[Strapping, ...]
    tippers: tuple[Tipper, ...]
    voids: Voids
    front_wall_g: int
    gear: Gear


def holding_of(request: LoadRequest, plan: LoadPlan, gear: Gear = UNMARKED_GEAR) -> Holding:
    """How each tier is held, at departure and after every stop."""
    pieces = aboard_of(request, plan)
    things = things_of(request, plan, (piece.tag for piece in pieces))
    stops = sorted({piece.stop for piece in pieces})
    strappings = [
        strapping
        for after in (0, *stops[:-1])
        for strapping in _strappings(
            request, plan, tuple(p for p in pieces if p.stop > after), after, gear
        )
    ]
    pushed = travels(Layout(request, plan.placements, plan.fills))
    at_departure = {strapping.tier for strapping in strappings if strapping.after_stop == 0}
    return Holding(
        forces=tuple(tier_forces(request, pieces, pushed, at_departure)),
        strappings=tuple(strappings),
        tippers=tuple(
            tipper
            for tipper in tippers(things, request.truck.interior_mm)
            if tipper.direction is not Direction.REARWARD
        ),
        voids=voids_of(pushed),
        front_wall_g=round(
            strength_required_g(request.truck.interior_mm[2], sum(p.weight_g for p in pieces))
        ),
        gear=gear,
    )


def _strappings(
    request: LoadRequest,
    plan: LoadPlan,
    pieces: tuple[Aboard, ...],
    after_stop: int,
    gear: Gear,
) -> Iterator[Strapping]:
    """The straps that one state of the load needs, from the nose to the doors."""
    if not pieces:
        return
    state = _State(request, plan, pieces)
    held = dict(state.held_inside())
    if request.truck.interior_mm[0] - state.end_mm > VOID_SUM_MM:
        last = state.tiers[-1]
        tags = state.of_tier(last)
        held[last] = (Why.END_OF_LOAD, tags, state.push.on_end + state.on_loose(last))
    if shakes_loose(request.truck.ride, request.distance_km):
        held = dict(_with_stretches(state, held))
    for tier, (why, tags, force) in sorted(held.items()):
        yield _strapping(state, tier, why, tags, force, after_stop, gear)


Held = tuple[Why, tuple[str, ...], Fraction]


class _State:
    """The pieces that are aboard at one time, and how they press toward the doors.

    What rides in the opening of another piece counts as part of it.
    """

    def __init__(self, request: LoadRequest, plan: LoadPlan, pieces: tuple[Aboard, ...]) -> None:
        things = things_of(request, plan, (piece.tag for piece in pieces))
        self.things = {thing.tag: thing for thing in things if thing.tag is not None}
        self.tiers = sorted({thing.tier for thing in self.things.values()})
        self.end_mm = max(thing.end_mm(0) for thing in self.things.values())
        hosts = {place.tag: place.inside for place in plan.placements}
        self.weights_g = dict.fromkeys(self.things, 0)
        forces = dict.fromkeys(self.things, Fraction(0))
        for piece in pieces:
            carrier = piece.tag if piece.tag in self.things else hosts[piece.tag] or piece.tag
            self.weights_g[carrier] += piece.weight_g
            forces[carrier] += friction_left_g(request, piece, BREAKING[Direction.REARWARD])
        self.own_g = forces
        self.push: Rearward = rearward(things, self.end_mm, forces)
        interior = (self.end_mm, *request.truck.interior_mm[1:])
        self.tall = {t.tag for t in tippers(things, interior) if t.direction is Direction.REARWARD}

    def of_tier(self, tier: int) -> tuple[str, ...]:
        return tuple(tag for tag, thing in self.things.items() if thing.tier == tier)

    def rear_mm(self, tier: int) -> int:
        return max(self.things[tag].end_mm(0) for tag in self.of_tier(tier))

    def on_loose(self, tier: int) -> Fraction:
        """The force on the loose pieces of a tier."""
        loose = (tag for tag in self.of_tier(tier) if tag in self.push.on_loose)
        return sum((self.push.on_loose[tag] for tag in loose), Fraction(0))

    def mats_do(self, tags: Iterable[str]) -> bool:
        """Whether mats hold these pieces: each on the deck, and nothing else presses on it."""
        left = BREAKING[Direction.REARWARD] - MAT
        return left <= 0 and all(
            self.things[tag].at_mm[2] == 0
            and self.push.on_loose.get(tag, Fraction(0)) <= self.own_g[tag]
            for tag in tags
        )

    def held_inside(self) -> Iterator[tuple[int, Held]]:
        """The tiers with pieces that friction does not hold, or that would tip to the rear."""
        for tier in self.tiers:
            tags = self.of_tier(tier)
            sliding = tuple(tag for tag in tags if self.push.on_loose.get(tag, 0) > 0)
            tall = tuple(tag for tag in tags if tag in self.tall)
            if sliding:
                yield tier, (Why.OPEN_BEHIND, sliding, self.on_loose(tier))
            elif tall:
                yield tier, (Why.MAY_TIP, tall, Fraction(0))


def _with_stretches(state: _State, held: dict[int, Held]) -> Iterator[tuple[int, Held]]:
    """Adds a strap where more than 10 ft of load would stand without one."""
    yield from held.items()
    since = 0
    for tier, following in pairwise(state.tiers):
        if tier in held:
            since = state.rear_mm(tier)
        elif state.rear_mm(following) - since > LONG_MM:
            yield tier, (Why.LONG_TRIP, state.of_tier(tier), Fraction(0))
            since = state.rear_mm(tier)


def _strapping(
    state: _State,
    tier: int,
    why: Why,
    tags: tuple[str, ...],
    force: Fraction,
    after_stop: int,
    gear: Gear,
) -> Strapping:
    things = [state.things[tag] for tag in tags]
    weight = sum(state.weights_g[tag] for tag in tags)
    required = max(force, required_aggregate_g(weight))
    low, high = min(t.at_mm[2] for t in things), max(t.end_mm(2) for t in things)
    depth = max(t.end_mm(0) for t in things) - min(t.at_mm[0] for t in things)
    straps = max(
        count_required(depth, weight, blocked=True),
        int(-(-required // gear.weakest[1])),
        int(-(-force // (gear.weakest[1] * gear.breaking_times))),
        2 if high - low > TWO_STRAPS_FROM_MM else 1,
    )
    return Strapping(
        after_stop=after_stop,
        tier=tier,
        why=why,
        tags=tags,
        weight_g=weight,
        force_g=round(force),
        required_g=round(required),
        straps=straps,
        heights_mm=tuple(low + (high - low) * (2 * n + 1) // (2 * straps) for n in range(straps)),
        at_mm=max(t.end_mm(0) for t in things),
        mats_do=why is Why.OPEN_BEHIND and state.mats_do(tags),
    )
