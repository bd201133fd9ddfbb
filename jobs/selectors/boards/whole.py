"""The whole load as it stands: how much is in, what the supports carry, the length that is left."""

from dataclasses import dataclass

from jobs.folding.state import LOADED
from jobs.models import Job
from jobs.selectors.boards.standing import stage_of
from jobs.selectors.states import state_of
from loading.models import LoadPlan
from loading.road.aboard import aboard_of
from loading.road.moments import road_moments_of
from loading.selectors import plan_of


@dataclass(frozen=True, slots=True)
class SupportLine:
    """What a support carries: the truck with what is in now, and with all that the plan loads."""

    name: str
    now_g: int
    planned_g: int
    limit_g: int

    @property
    def percent(self) -> int:
        return round(100 * self.planned_g / self.limit_g)


@dataclass(frozen=True, slots=True)
class WholeBoard:
    """`length_left_mm` is free behind the last tier when all that is planned is in."""

    pieces_in: int
    pieces: int
    weight_in_g: int
    weight_g: int
    supports: tuple[SupportLine, ...]
    length_left_mm: int


def whole_board(*, job: Job, plan: LoadPlan) -> WholeBoard:
    """What is reported as loaded is taken to stand where the plan has it."""
    request, planned = plan_of(plan=plan)
    state = state_of(job)
    pieces = aboard_of(request, planned)
    inside = tuple(piece for piece in pieces if stage_of(state, piece.tag) == LOADED)
    now, complete = (road_moments_of(request, some)[0] for some in (inside, pieces))
    reached = max((place.at_mm[0] + place.size_mm[0] for place in planned.placements), default=0)
    return WholeBoard(
        pieces_in=len(inside),
        pieces=len(pieces),
        weight_in_g=now.load_g,
        weight_g=complete.load_g,
        supports=tuple(
            SupportLine(support.name, round(now_g), round(planned_g), support.limit_g)
            for support, now_g, planned_g in zip(
                request.truck.supports, now.gross_g, complete.gross_g, strict=True
            )
        ),
        length_left_mm=request.truck.interior_mm[0] - reached,
    )
