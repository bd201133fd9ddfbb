"""All that road and law ask of one plan, as one answer."""

from dataclasses import dataclass
from enum import Enum

from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from loading.road.axles import Axle
from loading.road.gear import UNMARKED_GEAR, Gear
from loading.road.gravity import Along
from loading.road.holding import Holding, holding_of
from loading.road.licence import gross_rating_g, needs_commercial_licence
from loading.road.reconciling import constructive_g
from loading.road.remedy import CHECKS_MAX, Proposal, remedy
from loading.road.weights import Weights, weights_of


class Caution(Enum):
    """What passes no limit of the road, and should be known before driving off."""

    OVER_AT_THE_DOCK = "over_at_the_dock"
    LIFTED_AT_THE_DOCK = "lifted_at_the_dock"
    FAR_ALONG = "far_along"
    HALF_TOO_HEAVY = "half_too_heavy"
    OFF_THE_MIDDLE = "off_the_middle"
    TOP_HEAVY = "top_heavy"
    VOIDS = "voids"
    TALL_PIECES = "tall_pieces"
    ESTIMATED_SIZES = "estimated_sizes"
    COMMERCIAL_LICENCE = "commercial_licence"


@dataclass(frozen=True, slots=True)
class RoadAnswer:
    """`proposal` is None where the weights pass.

    `constructive_g` is what the used truck length stands for at 7 lb per cubic foot;
    `estimated_g` what the pieces weigh whose size is typical, not measured.
    """

    weights: Weights
    holding: Holding
    proposal: Proposal | None
    cautions: tuple[Caution, ...]
    space_mm3: int
    constructive_g: int
    estimated_g: int


def road_answer(
    request: LoadRequest,
    plan: LoadPlan,
    *,
    axles: tuple[Axle, ...] = (),
    gear: Gear = UNMARKED_GEAR,
    checks: int = CHECKS_MAX,
) -> RoadAnswer:
    """Judge a plan; `checks` limits how many changed plans the proposal may have checked."""
    weights = weights_of(request, plan, axles)
    holding = holding_of(request, plan, gear)
    space = loaded_space_mm3(request, plan)
    estimated = sum(
        piece.weight_g for piece in weights.pieces if request.item(piece.tag).size_from == "kind"
    )
    return RoadAnswer(
        weights=weights,
        holding=holding,
        proposal=remedy(request, plan, axles, checks=checks),
        cautions=_cautions(request, weights, holding, estimated),
        space_mm3=space,
        constructive_g=constructive_g(space),
        estimated_g=estimated,
    )


def loaded_space_mm3(request: LoadRequest, plan: LoadPlan) -> int:
    """The loaded part of the box: its length to the end of the load, whole width and height."""
    _, width, height = request.truck.interior_mm
    return width * height * max((p.at_mm[0] + p.size_mm[0] for p in plan.placements), default=0)


def _cautions(
    request: LoadRequest, weights: Weights, holding: Holding, estimated_g: int
) -> tuple[Caution, ...]:
    centre = weights.gravity
    found = {
        Caution.OVER_AT_THE_DOCK: any(not over.lifted for over in weights.at_the_dock),
        Caution.LIFTED_AT_THE_DOCK: any(over.lifted for over in weights.at_the_dock),
        Caution.FAR_ALONG: centre is not None and centre.along is not Along.WITHIN,
        Caution.HALF_TOO_HEAVY: centre is not None and not centre.halves_pass,
        Caution.OFF_THE_MIDDLE: centre is not None and not centre.across_passes,
        Caution.TOP_HEAVY: centre is not None and not centre.height_passes,
        Caution.VOIDS: not holding.voids.are_within_limit,
        Caution.TALL_PIECES: bool(holding.tippers),
        Caution.ESTIMATED_SIZES: estimated_g > 0,
        Caution.COMMERCIAL_LICENCE: needs_commercial_licence(gross_rating_g(request.truck)),
    }
    return tuple(caution for caution, holds in found.items() if holds)
