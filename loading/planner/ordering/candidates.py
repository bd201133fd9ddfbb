"""Pull orders that are worth planning with: few moves, and each shipment's last stop first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from loading.planner.pulls import PullOrder, Yard, YardBlocked, orders, retrieve, yard_of
from loading.planner.request import LoadRequest

MOVES_MORE = 2
DRAWN = 4  # orders drawn for each that is wanted: many are alike


@dataclass(frozen=True, slots=True)
class Candidates:
    """Orders of the vaults still to pull, fewest moves first; `barred` cannot be reached at all."""

    pulled: tuple[str, ...]
    orders: tuple[PullOrder, ...]
    barred: tuple[str, ...]

    def request_for(self, request: LoadRequest, order: PullOrder) -> LoadRequest:
        """The request with that order forced: what was pulled before it, what is barred last."""
        return replace(request, pull_order=(*self.pulled, *order.codes, *self.barred))


def candidates(
    request: LoadRequest, *, seed: int, limit: int, moves_more: int = MOVES_MORE
) -> Candidates:
    """Up to `limit` orders that cost at most `moves_more` moves above the fewest, none alike."""
    yard, pulled = as_it_stands(request)
    wanted = [code for code in yard.standing() if code not in pulled and _gives(request, code)]
    barred: list[str] = []
    while True:
        groups = by_stop(request, wanted)
        try:
            found = orders(yard, seed=seed, limit=DRAWN * limit, groups=groups)
            break
        except YardBlocked as error:
            code = error.code if error.code in wanted else wanted[-1]
            wanted.remove(code)
            barred.append(code)
    least = found[0].moves
    few = [order for order in found if order.moves <= least + moves_more]
    unlike = _unlike(few, request.dock.vault_spots)[:limit]
    return Candidates(tuple(pulled), tuple(unlike), tuple(barred))


def with_fewest_moves(request: LoadRequest, *, seed: int) -> LoadRequest:
    """The request with the order that is chosen by moves alone."""
    found = candidates(request, seed=seed, limit=1)
    return found.request_for(request, found.orders[0])


def _unlike(found: Sequence[PullOrder], spots: int) -> list[PullOrder]:
    """One of those that are alike: vaults that stand on the first spots all come at once."""
    kinds: dict[tuple[frozenset[str], tuple[str, ...]], PullOrder] = {}
    for order in found:
        kinds.setdefault((frozenset(order.codes[:spots]), order.codes[spots:]), order)
    return list(kinds.values())


def neighbours(request: LoadRequest, order: PullOrder, *, most: int) -> tuple[PullOrder, ...]:
    """Orders in which one vault comes a place earlier, that cost at most `most` moves in all.

    Only vaults of the same stop change places.
    """
    yard, _ = as_it_stands(request)
    stop_of = {code: n for n, group in enumerate(by_stop(request, order.codes)) for code in group}
    found = []
    for n in range(len(order.codes) - 1):
        first, then = order.codes[n], order.codes[n + 1]
        if stop_of[first] != stop_of[then]:
            continue
        codes = (*order.codes[:n], then, first, *order.codes[n + 2 :])
        try:
            moves = retrieve(yard, codes).moves
        except YardBlocked:
            continue
        if moves <= most:
            found.append(PullOrder(codes, moves))
    return tuple(found)


def by_stop(request: LoadRequest, codes: Sequence[str]) -> list[list[str]]:
    """Vaults grouped by the latest stop that something in them is for, the last stop first."""
    stops: dict[int, list[str]] = {}
    inside = {vault.code: vault.items for vault in request.vaults}
    for code in codes:
        leaving = [request.item(tag) for tag in inside.get(code, ()) if request.item(tag).leaves]
        stop = max((item.stop for item in leaving), default=0)
        stops.setdefault(stop, []).append(code)
    return [stops[stop] for stop in sorted(stops, reverse=True)]


def as_it_stands(request: LoadRequest) -> tuple[Yard, list[str]]:
    """The yard after the progress, and the vaults that were pulled in it."""
    done = request.progress.steps if request.progress else ()
    pulled = [step.vault for step in done if step.do == "pull" and step.vault is not None]
    return yard_of(request).after(done), list(dict.fromkeys(pulled))


def _gives(request: LoadRequest, code: str) -> bool:
    """Whether something in the vault leaves."""
    inside = next((vault.items for vault in request.vaults if vault.code == code), ())
    return any(request.item(tag).leaves for tag in inside)
