"""What each of two supports carries of a load: its moment about the first, over their distance.

Source: statics of a beam on two supports. For a truck on two axles with wheelbase B, a weight w at
x behind the front axle adds w x / B to the rear and w (1 - x / B) to the front.
"""

from collections.abc import Iterable
from fractions import Fraction

from loading.planner.request import Support
from loading.road.aboard import Aboard

Shares = tuple[Fraction, Fraction]


def support_shares_g(supports: tuple[Support, Support], pieces: Iterable[Aboard]) -> Shares:
    """The load's share of each support, in g, without its tare. Negative: the load lifts it."""
    return weights_shares_g(supports, ((p.weight_g, p.twice_middle_mm(0)) for p in pieces))


def weights_shares_g(
    supports: tuple[Support, Support], weights: Iterable[tuple[int, int]]
) -> Shares:
    """The same for bare weights: (g, twice the mm behind the nose), so that all are whole."""
    one, other = supports
    total = twice_moment = 0
    for weight_g, twice_x_mm in weights:
        total += weight_g
        twice_moment += weight_g * (twice_x_mm - 2 * one.x_mm)
    on_other = Fraction(twice_moment, 2 * (other.x_mm - one.x_mm))
    return total - on_other, on_other


def gross_g(supports: tuple[Support, Support], shares: Shares) -> Shares:
    """What each support carries, its tare included."""
    return supports[0].tare_g + shares[0], supports[1].tare_g + shares[1]
