"""How many moving pads a plan needs.

What wraps a piece is its own number of pads, two where nobody said (common practice, no source);
rolled pads are those of the plan's fills.
"""

from dataclasses import dataclass

from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest

PADS_A_PIECE = 2


@dataclass(frozen=True, slots=True)
class PadsNeeded:
    wrapped: int
    rolled: int

    @property
    def all(self) -> int:
        return self.wrapped + self.rolled

    def missing(self, on_board: int) -> int:
        """How many more have to come on board before the job starts."""
        return max(0, self.all - on_board)


def pads_needed(request: LoadRequest, plan: LoadPlan) -> PadsNeeded:
    """For what the plan loads; what is left off needs none."""
    items = (request.item(place.tag) for place in plan.placements)
    wrapped = sum(PADS_A_PIECE if item.pads is None else item.pads for item in items if item.wrap)
    return PadsNeeded(wrapped, sum(fill.pads for fill in plan.fills))
