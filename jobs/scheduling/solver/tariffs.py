"""What everybody's time and all work are worth, so that nothing ends before all work is paid for.

A tariff gives a bound for a schedule under way at any time: the worth of the time that everybody
has used up, and of the work that is left. For a pool all its people's time is worth the same. The
prices of `dividing` weigh people against each other: who is short of time is worth more.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from jobs.scheduling.solver.bounds import Gauge, least_tails
from jobs.scheduling.solver.dividing import Price, prices_of
from jobs.scheduling.solver.pools import may_sit
from jobs.scheduling.solver.problem import Activity, Mode, Problem, shortest_ways

_POOLS = 4
"""So many are looked at."""
_SAME = 0.01


@dataclass(frozen=True, slots=True)
class Tariff:
    """The worth of each activity, of a second of each person, and the heights of the places.

    All seconds together are worth 1. `heights` has the places' for each person: no way is worth
    less than what it climbs, and the lowest is 0, see `bounds`. The worth of an activity counts
    what it descends. `marked` is one that is also looked at for parts of the work, see `guides`.
    """

    work: tuple[float, ...]
    second: tuple[float, ...]
    heights: tuple[tuple[float, ...], ...]
    marked: bool = False


def tariffs_of(problem: Problem, gauges: Sequence[Gauge]) -> list[Tariff]:
    """Those of the fullest pools; first that of the prices, unless something else says as much.

    That may be one of the pools, or the longest way through the needs.
    """
    found = [_of_pool(gauge, len(problem.people)) for gauge in gauges[:_POOLS]]
    if prices := prices_of(problem):
        priced, longest = _of_prices(problem, prices), max(least_tails(problem), default=0)
        is_new = not any(_are_same(priced, one) for one in found)
        if is_new and paid_for(problem, priced) > longest:
            return [priced, *found]
    return found


def paid_for(problem: Problem, tariff: Tariff) -> float:
    """When all people have had the time that all work is worth: nothing ends earlier."""
    homes = (heights[p.place] for heights, p in zip(tariff.heights, problem.people, strict=True))
    return sum(tariff.work) - sum(homes)


def _are_same(one: Tariff, other: Tariff) -> bool:
    return all(abs(a - b) < _SAME for a, b in zip(one.second, other.second, strict=True))


def _of_pool(gauge: Gauge, people: int) -> Tariff:
    second = [person in gauge.who for person in range(people)]
    return Tariff(
        work=tuple(work / gauge.people for work in gauge.work),
        second=tuple(is_in / gauge.people for is_in in second),
        heights=tuple(
            tuple(is_in * height / gauge.people for height in gauge.heights) for is_in in second
        ),
    )


def _of_prices(problem: Problem, prices: Sequence[Price]) -> Tariff:
    heights, kind = [_heights(problem, price) for price in prices], {}
    for number, price in enumerate(prices):
        kind.update(dict.fromkeys(price.people, number))
    return Tariff(
        work=tuple(_worth(activity, prices, heights) for activity in problem.activities),
        second=tuple(prices[kind[person]].second for person in range(len(problem.people))),
        heights=tuple(heights[kind[person]] for person in range(len(problem.people))),
        marked=True,
    )


def _heights(problem: Problem, price: Price) -> tuple[float, ...]:
    """The greatest that climb no more than any way, from what is paid for leaving."""
    ways, places = shortest_ways(problem.travel), range(len(problem.travel))
    found = [
        min(price.second * ways[one][place] - price.leaving[one] for one in places)
        for place in places
    ]
    return tuple(height - min(found) for height in found)


def _worth(
    activity: Activity, prices: Sequence[Price], heights: Sequence[Sequence[float]]
) -> float:
    """That of the cheapest people in the cheapest mode."""
    lost = [height[activity.place] - height[activity.place_after] for height in heights]
    return min(
        (
            sum(mode.duration * prices[kind].second + lost[kind] for kind in kinds)
            for mode in activity.modes
            for kinds in _seated(activity, mode, prices)
        ),
        default=0.0,
    )


def _seated(activity: Activity, mode: Mode, prices: Sequence[Price]) -> Iterator[tuple[int, ...]]:
    """The kinds of people that can fill the seats."""
    may = [
        [kind for kind, price in enumerate(prices) if may_sit(activity, seat, price.people[0])]
        for seat in mode.seats
    ]
    for kinds in product(*may):
        if all(kinds.count(kind) <= len(prices[kind].people) for kind in kinds):
            yield kinds
