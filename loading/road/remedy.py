"""What to shift, or to leave for another truck, when the weights of a plan do not pass.

Heaviest help first: two pieces of one size change places, or two tiers do; where that is not
enough, pieces are left. Each change is judged by statics, and then by the checker of plans: what
is proposed keeps all the rules of the plan. It is a proposal; a person decides.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from loading.planner.checker import check_plan
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from loading.road.aboard import aboard_of
from loading.road.axles import Axle
from loading.road.changes import Change, Changes, leaves, swaps, tier_swaps
from loading.road.weights import road_weights

CHECKS_MAX = 100


@dataclass(frozen=True, slots=True)
class Advice:
    """One change: the tags or the tiers (as text) that change places, or the tag that stays."""

    change: Change
    what: tuple[str, ...]
    excess_g: int


@dataclass(frozen=True, slots=True)
class Proposal:
    """The changed plan, and the changes that lead to it, in their order.

    It breaks no rule that the former plan kept. `excess_g` is what is still over a limit; 0: the
    weights pass.
    """

    plan: LoadPlan
    advice: tuple[Advice, ...]
    excess_g: int


@dataclass(frozen=True, slots=True)
class _Candidate:
    change: Change
    what: tuple[str, ...]
    plan: LoadPlan
    excess_g: int


def remedy(
    request: LoadRequest,
    plan: LoadPlan,
    axles: tuple[Axle, ...] = (),
    *,
    checks: int = CHECKS_MAX,
) -> Proposal | None:
    """The changes that make the weights pass, or come as near as they can; None: they pass.

    At most `checks` plans are checked. A proposal without advice says that none was found.
    """

    def excess(changed: LoadPlan) -> int:
        return road_weights(request, aboard_of(request, changed), axles).excess_g

    now = excess(plan)
    if now == 0:
        return None
    judge = _Judge(request, plan, checks)
    advice: list[Advice] = []
    for kinds in ((swaps, tier_swaps), (leaves,)):
        while now > 0:
            found = judge.first_sound(_better(request, plan, kinds, excess, now))
            if found is None:
                break
            plan, now = found.plan, found.excess_g
            advice.append(Advice(found.change, found.what, now))
    return Proposal(plan, tuple(advice), now)


class _Judge:
    """Asks the checker, a limited number of times, whether a change breaks what was kept before.

    On the way to a load that passes its weights may still be over; all other rules hold.
    """

    def __init__(self, request: LoadRequest, plan: LoadPlan, checks: int) -> None:
        self._request, self._left = request, checks
        self._known = self._broken(plan) if checks else set()
        # What failed once mostly fails again: the checks are spent on something else first.
        self._failed: set[tuple[Change, tuple[str, ...]]] = set()

    def _broken(self, plan: LoadPlan) -> set[tuple[str, str]]:
        return {(one.rule, one.subject) for one in check_plan(self._request, plan).broken}

    def first_sound(self, candidates: Sequence[_Candidate]) -> _Candidate | None:
        failed = set(self._failed)
        fresh = [one for one in candidates if (one.change, one.what) not in failed]
        again = [one for one in candidates if (one.change, one.what) in failed]
        for candidate in (*fresh, *again):
            if self._left == 0:
                return None
            self._left -= 1
            if self._broken(candidate.plan) <= self._known:
                return candidate
            self._failed.add((candidate.change, candidate.what))
        return None


def _better(
    request: LoadRequest,
    plan: LoadPlan,
    kinds: Iterable[Changes],
    excess: Callable[[LoadPlan], int],
    now_g: int,
) -> list[_Candidate]:
    """What would help, the most first; of what helps as much, the lightest piece to leave."""
    found = []
    for kind in kinds:
        for change, what, changed in kind(request, plan):
            left = excess(changed)
            if left < now_g:
                found.append(_Candidate(change, what, changed, left))
    kinds_in_order = list(Change)

    def worth(one: _Candidate) -> tuple[int, int, int, tuple[str, ...]]:
        kind = kinds_in_order.index(one.change)
        return one.excess_g, kind, _weight_left_g(request, one), one.what

    return sorted(found, key=worth)


def _weight_left_g(request: LoadRequest, candidate: _Candidate) -> int:
    if candidate.change is not Change.LEAVE:
        return 0
    return sum(request.item(tag).weight_g for tag in candidate.what)


def pieces_left(former: LoadPlan, proposal: Proposal) -> tuple[str, ...]:
    """The tags that the proposal leaves behind and the former plan did not."""
    before = {left.tag for left in former.left_off}
    return tuple(left.tag for left in proposal.plan.left_off if left.tag not in before)
