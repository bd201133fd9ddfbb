"""Which truck takes it all, at what length left; and if none does, what goes on a second trip.

How a load is planned is the caller's business: planning comes in as a function, with its budget,
its seed and its clock. Trucks are tried from the smallest up; one that cannot possibly take the
load is not planned at all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from loading.planner.fitting.leaving import left_for_later, volume_mm3, weight_g
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest, Truck
from loading.planner.reserve import reserve_of

Plan = Callable[[LoadRequest], LoadPlan]
Seconds = Callable[[LoadRequest, LoadPlan], int]

# What stays behind in percent of what did not fit, try after try: whole units do not pack as well
# as the pieces that a plan left off. Our own numbers, no source.
BEHIND_PERCENT = (100, 125, 160, 220)
NO_TRUCK = "no truck takes any of it"


@dataclass(frozen=True, slots=True)
class Offer:
    """What one truck would do with a load. Where `plan` is None it was ruled out, and `why` says
    so. `reserve_short_mm`: what the length left is short of for sizes that are only estimated."""

    request: LoadRequest
    plan: LoadPlan | None
    why: str
    left_off: tuple[str, ...]
    length_left_mm: int
    payload_left_g: int
    takes_s: int | None
    reserve_short_mm: int = 0

    @property
    def truck(self) -> Truck:
        return self.request.truck

    @property
    def takes_all(self) -> bool:
        return self.plan is not None and not self.left_off


@dataclass(frozen=True, slots=True)
class Trip:
    """One truck's load of a split: which tags go."""

    offer: Offer
    tags: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """`offers` as they were tried; `trips` is one where a truck takes all, two where it is split.

    `stays` are pieces that go on none of the trips, each with the reason of the last plan.
    """

    offers: tuple[Offer, ...]
    trips: tuple[Trip, ...]
    stays: tuple[tuple[str, str], ...]


def choose(
    request: LoadRequest,
    trucks: Iterable[Truck],
    plan: Plan,
    *,
    takes_s: Seconds | None = None,
    compare_all: bool = False,
) -> Choice:
    """The smallest truck that takes all that leaves; else the largest, and what goes second.

    With `compare_all` larger trucks are planned too, so that their costs can be compared.
    """
    fleet = sorted(trucks, key=lambda truck: (_room_mm3(truck), truck.payload_g, truck.name))
    asking = _Asking(plan, takes_s)
    offers = asking.offers(request, fleet, compare_all=compare_all)
    taken = next((offer for offer in offers if offer.takes_all), None)
    if taken is not None:
        return Choice(offers, (Trip(taken, leaving(request)),), ())
    return _split(request, fleet, offers, asking)


def only(request: LoadRequest, tags: Iterable[str]) -> LoadRequest:
    """The request with only those pieces leaving; the others stay in storage."""
    going = frozenset(tags)
    items = tuple(replace(item, leaves=item.tag in going) for item in request.items)
    return replace(request, items=items)


def leaving(request: LoadRequest) -> tuple[str, ...]:
    return tuple(item.tag for item in request.items if item.leaves)


@dataclass(frozen=True, slots=True)
class _Asking:
    """How trucks are asked: the planning function, and what tells a plan's time."""

    plan: Plan
    takes_s: Seconds | None

    def offers(
        self, request: LoadRequest, fleet: Iterable[Truck], *, compare_all: bool = False
    ) -> tuple[Offer, ...]:
        """Each truck's offer, up to the first that takes all."""
        found: list[Offer] = []
        for truck in fleet:
            found.append(self.offer(request, truck))
            if found[-1].takes_all and not compare_all:
                break
        return tuple(found)

    def offer(self, request: LoadRequest, truck: Truck) -> Offer:
        asked = replace(request, truck=truck)
        why = ruled_out(asked)
        if why is not None:
            return Offer(asked, None, why, leaving(asked), 0, 0, None)
        return self.planned(asked)

    def planned(self, asked: LoadRequest) -> Offer:
        plan, truck = self.plan(asked), asked.truck
        gone = tuple(place.tag for place in plan.placements)
        reach = max((place.at_mm[0] + place.size_mm[0] for place in plan.placements), default=0)
        return Offer(
            request=asked,
            plan=plan,
            why="",
            left_off=tuple(left.tag for left in plan.left_off),
            length_left_mm=truck.interior_mm[0] - reach,
            payload_left_g=truck.payload_g - weight_g(asked, gone),
            takes_s=self.takes_s(asked, plan) if self.takes_s else None,
            reserve_short_mm=reserve_of(asked, plan).short_mm,
        )


def ruled_out(request: LoadRequest) -> str | None:
    """Why the truck cannot take all, whatever the plan; None if it might."""
    tags = leaving(request)
    room, asked = _room_mm3(request.truck), volume_mm3(request, tags)
    if asked > room:
        return f"the goods take {asked / 1e9:.1f} m3, the truck has {room / 1e9:.1f} m3"
    weight, payload = weight_g(request, tags), request.truck.payload_g
    if weight > payload:
        return f"the goods weigh {weight / 1000:.0f} kg, the payload is {payload / 1000:.0f} kg"
    return None


def _split(
    request: LoadRequest, fleet: list[Truck], offers: tuple[Offer, ...], asking: _Asking
) -> Choice:
    """Two trips: first the truck that takes most, then the smallest that will do for the rest."""
    first = _first_trip(request, fleet, offers, asking)
    if first is None:
        return Choice(offers, (), tuple((tag, NO_TRUCK) for tag in leaving(request)))
    behind = [tag for tag in leaving(request) if tag not in first.tags]
    rest = only(request, behind)
    seconds = [offer for offer in asking.offers(rest, fleet) if offer.plan is not None]
    if not seconds:
        seconds = [asking.planned(replace(rest, truck=fleet[-1]))]
    chosen = min(seconds, key=lambda offer: volume_mm3(request, offer.left_off))
    second = Trip(chosen, tuple(tag for tag in behind if tag not in chosen.left_off))
    trips = (first, second) if second.tags else (first,)
    assert chosen.plan is not None
    return Choice(offers, trips, tuple((left.tag, left.reason) for left in chosen.plan.left_off))


def _first_trip(
    request: LoadRequest, fleet: list[Truck], offers: tuple[Offer, ...], asking: _Asking
) -> Trip | None:
    """The fullest first trip whose plan loads all of it, found by leaving ever more behind.

    Pieces that even its best try leaves off go with the second trip.
    """
    known = [offer for offer in offers if offer.plan is not None]
    if not known and fleet:
        # Too small for all of it: what it leaves off tells how much has to stay behind.
        known = [asking.planned(replace(request, truck=fleet[-1]))]
    if not known:
        return None
    most = min(known, key=lambda offer: volume_mm3(request, offer.left_off))
    over_mm3 = volume_mm3(request, most.left_off)
    over_g = max(0, weight_g(request, leaving(request)) - most.truck.payload_g)
    best: Trip | None = None
    for percent in BEHIND_PERCENT:
        left = left_for_later(
            request, volume_mm3=over_mm3 * percent // 100, weight_g=over_g * percent // 100
        )
        going = [tag for tag in leaving(request) if tag not in left]
        offer = asking.planned(replace(only(request, going), truck=most.truck))
        tags = tuple(tag for tag in going if tag not in offer.left_off)
        if tags and (best is None or offer.takes_all):
            best = Trip(offer, tags)
        if offer.takes_all:
            break
    return best


def _room_mm3(truck: Truck) -> int:
    length, width, height = truck.interior_mm
    blocked = sum(b.size_mm[0] * b.size_mm[1] * b.size_mm[2] for b in truck.blocked)
    return length * width * height - blocked
