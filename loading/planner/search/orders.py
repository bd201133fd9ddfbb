"""Which orders of pulling the vaults are worth planning with."""

from __future__ import annotations

from collections.abc import Sequence

from loading.planner.ordering import by_stop
from loading.planner.plan import Step
from loading.planner.pulls import Yard, YardBlocked, nearer, orders, retrieve, yard_of
from loading.planner.request import LoadRequest
from loading.planner.search.sequence import Pulls, pulls_of

ORDERS_TRIED = 6
MOVES_MORE = 2  # an order may cost so many more moves than the best


def pull_orders(
    request: LoadRequest, done: Sequence[Step], seed: int, liked: Sequence[str] = ()
) -> tuple[list[tuple[list[str], Pulls]], dict[str, str]]:
    """Orders with their steps, the best first, and the vaults that cannot be had, with the reason.

    The warehouse's own order is obeyed; a free order delivers the last stop's vaults first.
    `liked`: an order that is kept if it can be.
    """
    yard = yard_of(request).after(done)
    standing = set(yard.standing())
    wanted = [
        vault.code
        for vault in request.vaults
        if vault.code in standing and any(request.item(tag).leaves for tag in vault.items)
    ]
    barred: dict[str, str] = {}
    while True:
        codes = [code for code in wanted if code not in barred]
        try:
            return [
                _with_steps(yard, order) for order in _choices(request, yard, codes, seed, liked)
            ], barred
        except YardBlocked as error:
            code = error.code if error.code in codes else codes[-1]
            barred[code] = str(error)


def _choices(
    request: LoadRequest, yard: Yard, codes: list[str], seed: int, liked: Sequence[str]
) -> list[list[str]]:
    if request.pull_order is not None:
        return [[code for code in request.pull_order if code in codes]]
    if not codes:
        return [[]]
    if set(codes) <= set(liked):
        return [[code for code in liked if code in codes]]
    found = orders(yard, seed=seed, limit=ORDERS_TRIED, groups=by_stop(request, codes))
    least = min(order.moves for order in found)
    return [list(order.codes) for order in found if order.moves <= least + MOVES_MORE]


def _with_steps(yard: Yard, order: list[str]) -> tuple[list[str], Pulls]:
    return pulls_of(nearer(yard, retrieve(yard, order)))
