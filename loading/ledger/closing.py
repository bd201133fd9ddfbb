"""Whether a truck's equipment is all there when its job closes."""

from collections.abc import Mapping
from dataclasses import dataclass

from loading.ledger.accounts import Account, Equipment, PlaceKind
from loading.ledger.balances import Balances


@dataclass(frozen=True, slots=True)
class Difference:
    """What was counted in the truck against what should be there: on board and on the goods.

    A difference is explained by a movement (to `lost`, to the wash, back to the warehouse …):
    then the two agree and it is gone.
    """

    equipment: Equipment
    expected: int
    counted: int

    @property
    def missing(self) -> int:
        """Negative: more than there should be."""
        return self.expected - self.counted


def differences(
    found: Balances, *, truck: str, job: str, counted: Mapping[Equipment, int]
) -> tuple[Difference, ...]:
    """The differences of a job's truck. What nobody counted is taken to be there."""
    places = (Account(PlaceKind.TRUCK, truck), Account(PlaceKind.JOB, job))
    lines = (
        Difference(kind, sum(found.get((place, kind), 0) for place in places), count)
        for kind, count in sorted(counted.items())
    )
    return tuple(line for line in lines if line.missing)
