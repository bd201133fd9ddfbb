"""Several shipments' pulls out of the same lanes on one day: which goes first, so none is barred.

One plan of moves serves them all: a vault set aside for one is never put in the way of another
whose turn is still to come.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, permutations

from loading.planner.plan import Step
from loading.planner.pulls.errors import YardBlocked, YardError
from loading.planner.pulls.retrieval import FEW, Retrieval, retrieve_groups
from loading.planner.pulls.yard import Yard
from loading.planner.stopping import Stop

ALL_ORDERS_TO = 5  # so many shipments are tried in every order, more are put in one by one


@dataclass(frozen=True, slots=True)
class Wanted:
    """What one load wants on that day: groups that leave in turn, within a group in any order."""

    load: str
    groups: tuple[tuple[str, ...], ...]

    @property
    def codes(self) -> tuple[str, ...]:
        return tuple(code for group in self.groups for code in group)


@dataclass(frozen=True, slots=True)
class Share:
    """One load's part: its steps, and the yard that it finds."""

    load: str
    yard: Yard
    retrieval: Retrieval


@dataclass(frozen=True, slots=True)
class SharedLane:
    """A lane out of which several loads pull, the load that goes first named first."""

    lane: str
    loads: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Clash:
    """A step of a load's plan, counted from 1, that cannot be done once the others had theirs."""

    load: str
    step: int
    vault: str
    lane: str | None


@dataclass(frozen=True, slots=True)
class SharedDay:
    """The loads in the order in which they pull. `moves` is for all together.

    `bound`: no order of the loads needs fewer moves than that. `least_known` says that every order
    that was allowed was tried.
    """

    shares: tuple[Share, ...]
    lanes: tuple[SharedLane, ...]
    moves: int
    bound: int
    least_known: bool

    @property
    def order(self) -> tuple[str, ...]:
        return tuple(share.load for share in self.shares)


def shared_day(
    yard: Yard,
    wanted: Sequence[Wanted],
    *,
    before: Sequence[tuple[str, str]] = (),
    stop: Stop = FEW,
) -> SharedDay:
    """Order the loads so that the fewest vaults are moved.

    `before` holds pairs of loads of which the first pulls first, whatever it costs. Raises
    YardBlocked if no order gets all out, YardError for contradictions.
    """
    _require_sound(wanted, before)
    yard = replace(yard, own=tuple(code for one in wanted for code in one.codes))
    best: tuple[tuple[Wanted, ...], Retrieval] | None = None
    blocked: YardBlocked | None = None
    least = _least(yard, wanted, stop)
    tried_all = len(wanted) <= ALL_ORDERS_TO
    for order in _orders(yard, wanted, before, stop):
        try:
            found = retrieve_groups(
                yard, [group for one in order for group in one.groups], stop=stop
            )
        except YardBlocked as error:
            blocked = blocked or error
            continue
        if best is None or found.moves < best[1].moves:
            best = order, found
        if best[1].moves <= least:
            break
    if best is None:
        raise blocked or YardError("the loads wait for each other in a circle")
    return SharedDay(
        shares=_shares(yard, *best),
        lanes=_lanes(yard, best[0]),
        moves=best[1].moves,
        bound=min(least, best[1].moves),
        least_known=tried_all or best[1].moves <= least,
    )


def clashes(yard: Yard, parts: Sequence[tuple[str, Sequence[Step]]]) -> tuple[Clash, ...]:
    """Play whole plans one after another; `lane` of a clash is the full one, or None if the vault
    cannot be reached. Vaults that stand in no lane have left before, and are passed over."""
    found: list[Clash] = []
    for load, steps in parts:
        for number, step in enumerate(steps, start=1):
            if step.vault is not None and step.do in ("move", "pull"):
                source = yard.lane_of(step.vault)
                if source is not None and source.vaults[-1].code != step.vault:
                    found.append(Clash(load, number, step.vault, None))
            if step.vault is not None and step.do in ("move", "store"):
                target = yard.lane(step.lane or "")
                if target is None or not target.free:
                    found.append(Clash(load, number, step.vault, step.lane))
            yard = yard.after((step,))
    return tuple(found)


def _require_sound(wanted: Sequence[Wanted], before: Sequence[tuple[str, str]]) -> None:
    loads = [one.load for one in wanted]
    if len(set(loads)) != len(loads):
        raise YardError("a load is named twice")
    for pair in before:
        if not set(pair) <= set(loads):
            raise YardError(f"{' before '.join(pair)} names a load that pulls nothing")
    for one, other in combinations(wanted, 2):
        twice = set(one.codes) & set(other.codes)
        if twice:
            raise YardError(f"vault {min(twice)} is wanted by {one.load} and {other.load}")


def _least(yard: Yard, wanted: Sequence[Wanted], stop: Stop) -> int:
    """Moves when all vaults could leave in any order: no order of the loads needs fewer."""
    try:
        return retrieve_groups(yard, [[c for one in wanted for c in one.codes]], stop=stop).bound
    except YardBlocked:
        return 0


def _orders(
    yard: Yard, wanted: Sequence[Wanted], before: Sequence[tuple[str, str]], stop: Stop
) -> Iterator[tuple[Wanted, ...]]:
    if len(wanted) <= ALL_ORDERS_TO:
        orders: Iterator[tuple[Wanted, ...]] = permutations(wanted)
    else:
        orders = iter([_put_in_one_by_one(yard, wanted, before, stop)])
    return (order for order in orders if _keeps(order, before))


def _keeps(order: Sequence[Wanted], before: Sequence[tuple[str, str]]) -> bool:
    place = {one.load: n for n, one in enumerate(order)}
    return all(
        place[first] < place[then] for first, then in before if first in place and then in place
    )


def _put_in_one_by_one(
    yard: Yard, wanted: Sequence[Wanted], before: Sequence[tuple[str, str]], stop: Stop
) -> tuple[Wanted, ...]:
    """Each load where it costs the fewest moves more, those that may not wait long first."""
    order: tuple[Wanted, ...] = ()
    for one in wanted:
        ways = [(*order[:n], one, *order[n:]) for n in range(len(order), -1, -1)]
        order = min(
            (way for way in ways if _keeps(way, before)),
            key=lambda way: _cost(yard, way, stop),
            default=ways[0],
        )
    return order


def _cost(yard: Yard, order: Sequence[Wanted], stop: Stop) -> int:
    try:
        return retrieve_groups(yard, [g for one in order for g in one.groups], stop=stop).moves
    except YardBlocked:
        return sum(len(lane.vaults) for lane in yard.lanes) ** 2


def _shares(yard: Yard, order: Sequence[Wanted], found: Retrieval) -> tuple[Share, ...]:
    """Cut the steps after each load's last pull. What proves the whole proves no part."""
    shares: list[Share] = []
    steps = list(found.steps)
    for one in order:
        left = set(one.codes)
        part = []
        while left:
            step = steps.pop(0)
            part.append(step)
            if step[0] == "pull":
                left.discard(step[1])
        moves = sum(step[0] == "move" for step in part)
        now = replace(yard, own=one.codes)
        shares.append(Share(one.load, now, Retrieval(tuple(part), moves, 0)))
        done = (Step(s[0], vault=s[1], lane=s[2] if s[0] == "move" else None) for s in part)
        yard = yard.after(done)
    return tuple(shares)


def _lanes(yard: Yard, order: Sequence[Wanted]) -> tuple[SharedLane, ...]:
    found = []
    for lane in yard.lanes:
        codes = {vault.code for vault in lane.vaults}
        loads = tuple(one.load for one in order if codes & set(one.codes))
        if len(loads) > 1:
            found.append(SharedLane(lane.name, loads))
    return tuple(found)
