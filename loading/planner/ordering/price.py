"""What a forced pull order costs, and which vault it would pay to take sooner."""

from __future__ import annotations

from dataclasses import dataclass, replace

from loading.planner.dockside import Pace, Wait, timeline
from loading.planner.ordering.trade import CLEARLY, Planned, Trial, trial_of
from loading.planner.plan import LoadPlan
from loading.planner.pulls import YardBlocked, retrieve, yard_of
from loading.planner.request import LoadRequest

LONG_S = 20 * 60
CALMER = 0.9  # of the fullest floor: orders of the same moves differ by less for no reason
Gains = tuple[int, int, int, int]
NO_GAIN: Gains = 0, 0, 0, 0
SOONER_TRIED = 4


@dataclass(frozen=True, slots=True)
class OrderPrice:
    """`sooner` is the vault that should come first, `shorter_mm`, `more_loaded` and `fewer_moves`
    what that would gain; None and zeros when no vault would.

    `waits` are the pieces that wait long on the floor under the forced order, longest first.
    """

    waits: tuple[Wait, ...]
    sooner: str | None
    more_loaded: int
    shorter_mm: int
    fewer_moves: int

    @property
    def wait_s(self) -> int:
        """How long each of the waiting pieces waits at least."""
        return min((wait.seconds for wait in self.waits), default=0)

    @property
    def longest_s(self) -> int:
        return max((wait.seconds for wait in self.waits), default=0)


def order_price(
    request: LoadRequest,
    plan: LoadPlan,
    planned: Planned,
    *,
    pace: Pace | None = None,
    most: int = SOONER_TRIED,
) -> OrderPrice:
    """Try one vault after another at the head of the forced order.

    `planned` is asked for at most so many plans, each with its even part of the budget. A request
    whose order is open has no price.
    """
    waits = long_waits(request, plan, pace)
    if request.pull_order is None:
        return OrderPrice(waits, None, 0, 0, 0)
    now = trial_of(request, request.pull_order, plan)
    codes = _worth_trying(request)[:most]
    best, sooner = NO_GAIN, None
    for code in codes:
        other = _with_first(request, code)
        trial = trial_of(other, other.pull_order or (), planned(other, 1 / len(codes)))
        gain = _gain_of(now, trial)
        if gain > best:
            best, sooner = gain, code
    more_loaded, shorter_mm, fewer_moves, _ = best
    return OrderPrice(waits, sooner, more_loaded, shorter_mm, fewer_moves)


def _gain_of(now: Trial, trial: Trial) -> Gains:
    """Pieces, length, moves and floor, in the order in which plans are judged. Lengths and floors
    that differ by what chance may make are alike."""
    return (
        trial.loaded - now.loaded,
        _clearly_less(now.length_mm, trial.length_mm, CLEARLY),
        now.moves - trial.moves,
        _clearly_less(now.floor_peak_mm2, trial.floor_peak_mm2, CALMER),
    )


def _clearly_less(now: int, then: int, share: float) -> int:
    """By how much it is less (negative: more), 0 where that is no clear difference."""
    return now - then if min(now, then) <= share * max(now, then) else 0


def long_waits(request: LoadRequest, plan: LoadPlan, pace: Pace | None = None) -> tuple[Wait, ...]:
    """The pieces that wait long on the floor, longest first."""
    waits = timeline(request, plan, pace).longest(10_000)
    return tuple(wait for wait in waits if wait.seconds >= LONG_S)


def _worth_trying(request: LoadRequest) -> list[str]:
    """Vaults that can be pulled first: where that saves moves before others, then those at the end
    of the order."""
    done = request.progress.steps if request.progress else ()
    yard = yard_of(request).after(done)
    standing = set(yard.standing())
    order = [code for code in request.pull_order or () if code in standing]
    moves: dict[str, int] = {}
    for code in reversed(order[1:]):
        try:
            moves[code] = retrieve(yard, [code, *(other for other in order if other != code)]).moves
        except YardBlocked:
            continue
    return sorted(moves, key=lambda code: moves[code])


def _with_first(request: LoadRequest, code: str) -> LoadRequest:
    """The order with one vault first among those that have not been pulled."""
    done = request.progress.steps if request.progress else ()
    pulled = {step.vault for step in done if step.do == "pull"}
    order = request.pull_order or ()
    before = [other for other in order if other in pulled]
    after = [other for other in order if other not in pulled and other != code]
    return replace(request, pull_order=(*before, code, *after))


def price_sentence(price: OrderPrice) -> str:
    """The price in words for people; empty if there is none."""
    parts = []
    if price.waits:
        count, minutes = len(price.waits), round(price.wait_s / 60)
        wait = "piece waits" if count == 1 else "pieces wait"
        longest = round(price.longest_s / 60)
        one_of_them = f", one of them {longest}" if longest > minutes else ""
        parts.append(f"{count} {wait} {minutes} minutes or longer on the floor{one_of_them}")
    if price.sooner is not None:
        parts.append(f"taking {price.sooner} first would {_gain(price)}")
    return "; ".join(parts)


def _gain(price: OrderPrice) -> str:
    gains = []
    if price.more_loaded > 0:
        gains.append(f"take {price.more_loaded} more along")
    if price.shorter_mm > 0:
        gains.append(f"save {price.shorter_mm / 1000:.2f} m of truck")
    if price.fewer_moves > 0:
        moves = "a move" if price.fewer_moves == 1 else f"{price.fewer_moves} moves"
        gains.append(f"save {moves}")
    return " and ".join(gains) if gains else "empty the floor sooner"
