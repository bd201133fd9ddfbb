"""The road sheet of a stored plan: its weights, how it is held, and what would mend it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum

from loading.models import LoadPlan
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import LoadRequest
from loading.road.aboard import aboard_of
from loading.road.axles import parse_axles
from loading.road.bridge import AxleGroup
from loading.road.changes import Change
from loading.road.gear import parse_gear
from loading.road.gravity import ACROSS, ALONG, HEIGHT, Along, Gravity
from loading.road.holding import Strapping
from loading.road.moments import Moment, When, loading_moments
from loading.road.pounds import MM_PER_FOOT, grams
from loading.road.remedy import Advice
from loading.road.sheet import Caution, RoadAnswer, road_answer
from loading.road.tall import Tipper
from loading.road.tier_forces import TierForces
from loading.road.voids import VOID_SUM_MM
from loading.road.weights import Weights, road_weights
from loading.selectors.kept import Kept
from loading.selectors.plans import plan_of

CHECKS = 40
"""How many changed plans a sheet may have checked: some hundredths of a second each."""


class Kind(Enum):
    """What a limit belongs to."""

    PAYLOAD = "payload"
    SUPPORT = "support"
    LIFTED = "lifted"
    AXLE = "axle"
    AXLE_GROUP = "axle_group"


@dataclass(frozen=True, slots=True)
class OverLimit:
    """What is over a limit on the road. `after_stop` is 0 at departure."""

    kind: Kind
    name: str
    after_stop: int
    actual_g: int
    limit_g: int
    over_g: int


@dataclass(frozen=True, slots=True)
class SupportLine:
    """A support at one time, its tare included; `share` of its limit, in percent."""

    name: str
    gross_g: int
    limit_g: int

    @property
    def percent(self) -> int:
        return round(100 * self.gross_g / self.limit_g) if self.limit_g else 0

    @property
    def is_over(self) -> bool:
        return self.gross_g > self.limit_g or self.gross_g < 0


@dataclass(frozen=True, slots=True)
class MomentLine:
    """The load at one time. While loading `step` is the plan's step, on the road it is None and
    `after_stop` the stop just delivered (0: departure). `tier`: the one that is whole then."""

    step: int | None
    after_stop: int
    load_g: int
    supports: tuple[SupportLine, ...]
    tier: int | None = None


@dataclass(frozen=True, slots=True)
class GroupLine:
    """A group of axles, or a single one, at departure."""

    name: str
    span_mm: int
    actual_g: int
    allowed_g: int
    passes: bool


@dataclass(frozen=True, slots=True)
class CentreLine:
    """The centre of the load's weight, from the nose, from the left wall, above the deck.

    `along_mm` and `across_mm` count from the middle; `limits_mm` is how far along, across and in
    height it may lie. `passes`: those three, and 60 % of the mass in one half at most.
    """

    at_mm: tuple[int, int, int]
    along_mm: int
    across_mm: int
    along: Along
    half_percent: int
    limits_mm: tuple[int, int, int]
    passes: tuple[bool, bool, bool, bool]


@dataclass(frozen=True, slots=True)
class AdviceLine:
    """A change that helps: the tags or tiers concerned, and the excess that is left then."""

    change: Change
    what: tuple[str, ...]
    names: tuple[str, ...]
    excess_g: int


@dataclass(frozen=True, slots=True)
class RoadSheet:
    """All figures of the road for one plan. `mends` says that the advice ends all excess."""

    load: str
    truck: str
    version: int
    payload_g: int
    load_g: int
    gross_g: int
    passes: bool
    over: tuple[OverLimit, ...]
    moments: tuple[MomentLine, ...]
    loading: tuple[MomentLine, ...]
    by_tier: tuple[MomentLine, ...]
    groups: tuple[GroupLine, ...]
    centre: CentreLine | None
    advice: tuple[AdviceLine, ...]
    mends: bool
    forces: tuple[TierForces, ...]
    strappings: tuple[Strapping, ...]
    tippers: tuple[Tipper, ...]
    void_along_mm: int
    void_across_mm: int
    void_limit_mm: int
    front_wall_g: int
    strap_name: str
    strap_wll_g: int
    constructive_g: int
    estimated_g: int
    cautions: tuple[Caution, ...]


_driving: "Kept[bool]" = Kept()


def plan_may_drive(*, plan: LoadPlan) -> bool:
    """Whether a stored plan is within all limits of the road."""
    return _driving.of(plan.run_id, lambda: _may_drive(plan))


def _may_drive(plan: LoadPlan) -> bool:
    request, planned = plan_of(plan=plan)
    told = plan.request_document["truck"].get("axles", [])
    axles, _ = parse_axles(told, request.truck.supports)
    return road_weights(request, aboard_of(request, planned), axles).excess_g == 0


def road_sheet(*, plan: LoadPlan, checks: int = CHECKS) -> RoadSheet:
    """The sheet of a stored plan, with the axles and straps that its truck had when it was made."""
    request, planned = plan_of(plan=plan)
    truck = plan.request_document["truck"]
    axles, _ = parse_axles(truck.get("axles", []), request.truck.supports)
    gear, _ = parse_gear(truck.get("straps", []))
    answer = road_answer(request, planned, axles=axles, gear=gear, checks=checks)
    return _sheet(plan, request, planned, answer)


def _sheet(
    plan: LoadPlan, request: LoadRequest, planned: PlannedLoad, answer: RoadAnswer
) -> RoadSheet:
    weights, holding, proposal = answer.weights, answer.holding, answer.proposal
    strap_name, strap_wll_g = holding.gear.weakest
    loading = tuple(_moment(request, moment) for moment in loading_moments(request, planned))
    return RoadSheet(
        load=plan.load.reference,
        truck=request.truck.name,
        version=plan.version,
        payload_g=weights.payload_g,
        load_g=weights.load_g,
        gross_g=weights.gross_g,
        passes=weights.excess_g == 0,
        over=tuple(_over(request, weights)),
        moments=tuple(_moment(request, moment) for moment in weights.moments),
        loading=loading,
        by_tier=tuple(_by_tier(planned, loading)),
        groups=tuple(_group(group) for group in weights.groups),
        centre=_centre(weights.gravity),
        advice=tuple(_advice(request, one) for one in proposal.advice) if proposal else (),
        mends=proposal is not None and proposal.excess_g == 0,
        forces=holding.forces,
        strappings=holding.strappings,
        tippers=holding.tippers,
        void_along_mm=holding.voids.along_mm,
        void_across_mm=holding.voids.across_mm,
        void_limit_mm=VOID_SUM_MM,
        front_wall_g=holding.front_wall_g,
        strap_name=strap_name,
        strap_wll_g=strap_wll_g,
        constructive_g=answer.constructive_g,
        estimated_g=answer.estimated_g,
        cautions=answer.cautions,
    )


def _moment(request: LoadRequest, moment: Moment) -> MomentLine:
    return MomentLine(
        step=moment.number if moment.when is When.LOADING else None,
        after_stop=moment.number if moment.when is When.AFTER_STOP else 0,
        load_g=moment.load_g,
        supports=tuple(
            SupportLine(support.name, round(gross), support.limit_g)
            for support, gross in zip(request.truck.supports, moment.gross_g, strict=True)
        ),
    )


def _by_tier(planned: PlannedLoad, loading: tuple[MomentLine, ...]) -> Iterator[MomentLine]:
    """What the supports carry as each tier is closed, the last one apart: that is departure."""
    closed = [(n, step.tier) for n, step in enumerate(planned.steps, 1) if step.do == "close"]
    for number, tier in closed[:-1]:
        before = [line for line in loading if line.step is not None and line.step <= number]
        if before:
            yield replace(before[-1], tier=tier)


def _over(request: LoadRequest, weights: Weights) -> Iterator[OverLimit]:
    if weights.over_payload_g:
        yield OverLimit(
            Kind.PAYLOAD,
            request.truck.name,
            0,
            weights.load_g,
            weights.payload_g,
            weights.over_payload_g,
        )
    for one in weights.on_the_road:
        kind = Kind.LIFTED if one.lifted else Kind.SUPPORT
        after = one.moment.number
        yield OverLimit(kind, one.support, after, one.gross_g, one.limit_g, one.over_g)
    for axle in weights.over_ratings:
        after = axle.moment.number
        yield OverLimit(Kind.AXLE, f"{axle.axle}", after, axle.gross_g, axle.limit_g, axle.over_g)
    for bridge in weights.over_bridge:
        line = _group(bridge.group)
        after = bridge.moment.number
        yield OverLimit(
            Kind.AXLE_GROUP, line.name, after, line.actual_g, line.allowed_g, bridge.over_g
        )


def _group(group: AxleGroup) -> GroupLine:
    return GroupLine(
        name=group.name,
        span_mm=round(group.span_ft * MM_PER_FOOT),
        actual_g=round(grams(group.actual_lb)),
        allowed_g=round(grams(group.allowed_lb)),
        passes=group.over_lb == 0,
    )


def _centre(centre: Gravity | None) -> CentreLine | None:
    if centre is None:
        return None
    x, y, z = centre.at_mm
    length, width, height = centre.interior_mm
    return CentreLine(
        at_mm=(round(x), round(y), round(z)),
        along_mm=round(centre.along_mm),
        across_mm=round(centre.across_mm),
        along=centre.along,
        half_percent=round(100 * centre.half_share),
        limits_mm=(round(ALONG * length), round(ACROSS * width), round(HEIGHT * height)),
        passes=(
            centre.along is Along.WITHIN,
            centre.across_passes,
            centre.height_passes,
            centre.halves_pass,
        ),
    )


def _advice(request: LoadRequest, advice: Advice) -> AdviceLine:
    named = advice.change is not Change.SWAP_TIERS
    names = tuple(request.item(tag).name for tag in advice.what) if named else ()
    return AdviceLine(advice.change, advice.what, names, advice.excess_g)
