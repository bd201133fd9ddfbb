"""What each tier has to withstand in each direction, and what holds it.

Sources: 49 CFR 393.102(a), each direction alone: 0.8, 0.5 and 0.5 g less friction against breaking
strength, 0.435, 0.5 and 0.25 g against working load limits. 393.102(c) and 393.106(b): in a closed
van an article needs nothing more if it touches, or nearly, a wall or other articles. "Nearly" is
taken as the 15 cm that the CTU Code (Annex 7) allows void spaces to add up to.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from loading.planner.checker.tightness import Travels
from loading.planner.request import LoadRequest
from loading.road.aboard import Aboard
from loading.road.forces import BREAKING, WORKING, Direction, sliding_g
from loading.road.friction import friction_of
from loading.road.voids import VOID_SUM_MM


class By(Enum):
    """What holds a tier in one direction. `walls`: the truck's, or what stands between."""

    FRICTION = "friction"
    NEIGHBOURS = "neighbours"
    WALLS = "walls"
    STRAPS = "straps"
    NOTHING = "nothing"


Three = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class TierForces:
    """One tier by itself: what friction leaves of each acceleration, as weights, forward, rearward
    and sideways, and what takes it up. `voids_mm`: the most that one of its pieces may travel along
    and across."""

    tier: int
    weight_g: int
    breaking_g: Three
    working_g: Three
    held: tuple[By, By, By]
    voids_mm: tuple[int, int]


def friction_left_g(request: LoadRequest, piece: Aboard, acceleration: Fraction) -> Fraction:
    """What friction leaves of the force on one piece, as a weight (g)."""
    return sliding_g(piece.weight_g, acceleration, friction_of(request.item(piece.tag)))


def tier_forces(
    request: LoadRequest,
    pieces: Sequence[Aboard],
    travels: Travels,
    strapped: Collection[int],
) -> Iterator[TierForces]:
    """The tiers in their order; `strapped` have straps behind them at departure."""
    for tier in sorted({piece.tier for piece in pieces}):
        own = [piece for piece in pieces if piece.tier == tier]
        breaking, working = (
            _three(sum(friction_left_g(request, p, limits[d]) for p in own) for d in Direction)
            for limits in (BREAKING, WORKING)
        )
        along, across = (
            max((travel.get(piece.tag, 0) for piece in own), default=0)
            for travel in (travels.nose, travels.side)
        )
        yield TierForces(
            tier=tier,
            weight_g=sum(piece.weight_g for piece in own),
            breaking_g=breaking,
            working_g=working,
            held=(
                _held(breaking[0], By.NEIGHBOURS, along),
                By.STRAPS if tier in strapped else _held(breaking[1], By.NEIGHBOURS, 0),
                _held(breaking[2], By.WALLS, across),
            ),
            voids_mm=(along, across),
        )


def _held(force_g: int, near: By, void_mm: int) -> By:
    if force_g == 0:
        return By.FRICTION
    return near if void_mm <= VOID_SUM_MM else By.NOTHING


def _three(forces: Iterator[Fraction | int]) -> Three:
    forward, rearward, sideways = (round(force) for force in forces)
    return forward, rearward, sideways
