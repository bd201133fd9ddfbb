"""The search: builds load plans tier by tier, the best it finds until its stopping rule says so."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from loading.planner.checker import Report, check_plan
from loading.planner.dockside import pad_swap
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from loading.planner.reserve import reserve_of
from loading.planner.search.arrays import LENGTH, PLACED, SLACK, VOLUME, State
from loading.planner.search.beam import Worker
from loading.planner.search.former import brought_next, reach_mm, tiers_left, vaults_left
from loading.planner.search.goods import empty_truck, goods_of
from loading.planner.search.judging import judge_of
from loading.planner.search.nodes import Outcome
from loading.planner.search.orders import pull_orders
from loading.planner.search.outcome import plan_of
from loading.planner.search.reasons import reasons_of
from loading.planner.search.start import begun_of, start_of
from loading.planner.search.taking_out import borne_of, loose_of, with_taken_out
from loading.planner.search.warming import warm
from loading.planner.stopping import Iterations, Stop

__all__ = ["SearchProgress", "plan_load", "warm"]

SHOW_EVERY_S = 0.25
LONG_TRIP_KM = 500
TAKEN_OUT_ROUNDS = 4  # what comes out may have held another piece
LONGER_MM = 30  # a load that keeps a former plan may be so much longer before others are tried


@dataclass(frozen=True, slots=True)
class SearchProgress:
    """How far a search is: share of its budget, best space use, pieces placed of all that leave."""

    share: float
    space_use: float
    loaded: int
    pieces: int


OnProgress = Callable[[SearchProgress], None]


def plan_load(
    request: LoadRequest,
    *,
    seed: int,
    stop: Stop,
    workers: int = 1,
    former: LoadPlan | None = None,
    improve: bool = False,
    on_progress: OnProgress | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> LoadPlan:
    """The best plan found, free of broken rules; what cannot go along is left off with a reason.

    Each worker is a thread that counts its own iterations (tiers built), so that the same seed,
    number of workers and iteration limit give the same plan; under a limit of time they also tell
    each other of their best load. `former` is the plan that the progress
    comes from: what it has left to do is kept as far as it still holds. Only if that leaves
    something off or is clearly longer, anything else is tried; with `improve` whatever it leaves,
    until the stopping rule says so.
    What stands loose in an open tier and cannot be held there is taken out and loaded anew, but for
    what stood so and nobody gets at any more: that is borne.
    """
    asked, borne = request, borne_of(request)
    for _ in range(TAKEN_OUT_ROUNDS):
        search = _Search(asked, seed, former, improve=improve, judged_as=request, borne=borne)
        search.run(stop, max(1, workers), on_progress, cancelled or (lambda: False))
        plan, report, slack = search.plan()
        loose = loose_of(asked, report)
        if loose:
            asked = with_taken_out(asked, loose)
            borne = borne_of(asked)
        elif slack > borne and not report.broken:  # the checker bears it too
            borne = slack
        else:
            break
    return plan


class _Search:
    def __init__(
        self,
        request: LoadRequest,
        seed: int,
        former: LoadPlan | None,
        *,
        improve: bool,
        judged_as: LoadRequest,
        borne: int,
    ) -> None:
        """The checker has to know what stood in the truck before anything was taken out."""
        self.request, self.seed, self.former, self.improve = request, seed, former, improve
        self.judged_as, self.borne = judged_as, borne
        self.goods, self.turns = goods_of(request)
        self.begun = begun_of(request)
        done = request.progress.steps if request.progress else ()
        liked = vaults_left(former) if former else []
        self.orders, self.barred = pull_orders(request, done, seed, liked)
        self._bar()
        self.left = tiers_left(request, self.turns, former, self.begun.unclosed) if former else None
        first = [*self.begun.pulled, *self.orders[0][0]]
        self.out = brought_next(request, former, first) if former else None
        empty = empty_truck(request, self.goods)
        self.start = start_of(request, self.goods, self.turns, empty, self.begun)
        self.workers: list[Worker] = []

    def _bar(self) -> None:
        for v, vault in enumerate(self.request.vaults):
            if vault.code in self.barred:
                self.goods.turns[
                    self.goods.order[self.goods.inside[v] : self.goods.inside[v + 1]]
                ] = 0

    def run(
        self,
        stop: Stop,
        workers: int,
        on_progress: OnProgress | None,
        cancelled: Callable[[], bool],
    ) -> None:
        index = {vault.code: v for v, vault in enumerate(self.request.vaults)}
        numbers = [
            np.array([index[code] for code in (*self.begun.pulled, *order)], np.int64)
            for order, _ in self.orders
        ]
        judge = judge_of(
            self.request, self.goods, self.former, improve=self.improve, borne=self.borne
        )
        for k in range(workers):
            self.workers.append(
                Worker(
                    self.goods,
                    self.start,
                    numbers,
                    seed=self.seed * 1009 + k,
                    judge=judge,
                    reached=lambda iterations: cancelled() or stop.reached(iterations),
                    share=stop.share,
                    former=self.left,
                    out=self.out,
                    enough_mm=self._enough_mm(),
                    borne=self.borne,
                    # Where people go on by the former plan, a load without it is of little use.
                    follows=k == 0 or not self.improve,
                    improve=self.improve,
                )
            )
        if not isinstance(stop, Iterations):
            for worker in self.workers:
                worker.others = [other for other in self.workers if other is not worker]
        self._wait(stop, on_progress)

    def _enough_mm(self) -> int:
        """As long as the former plan's load may turn out by what is known now, and a little."""
        if self.former is None:
            return 0
        may_grow = reserve_of(self.request, self.former).wanted_mm
        return reach_mm(self.former) + may_grow + LONGER_MM

    def _wait(self, stop: Stop, on_progress: OnProgress | None) -> None:
        threads = [threading.Thread(target=worker.run, daemon=True) for worker in self.workers]
        for thread in threads:
            thread.start()
        for thread in threads:
            while thread.is_alive():
                thread.join(SHOW_EVERY_S)
                if on_progress is not None:
                    on_progress(self._progress(stop))
        for worker in self.workers:
            if worker.failure is not None:
                raise worker.failure

    def _progress(self, stop: Stop) -> SearchProgress:
        done = max(worker.iterations for worker in self.workers)
        best = [worker.best for worker in self.workers if worker.best is not None]
        pieces = int((self.goods.stays == 0).sum())
        if not best:
            return SearchProgress(stop.share(done), 0.0, 0, pieces)
        state = min(best, key=lambda outcome: outcome.key).state
        return SearchProgress(
            stop.share(done), self._space_use(state), int(state.tally[PLACED]), pieces
        )

    def _space_use(self, state: State) -> float:
        room = float(state.tally[LENGTH]) * float(self.goods.interior[1] * self.goods.interior[2])
        return 1000.0 * float(state.tally[VOLUME]) / room if room else 0.0

    def plan(self) -> tuple[LoadPlan, Report, int]:
        """The best load that the checker finds nothing against, what it says, and how many pieces
        are loose that stood in the open tier.

        Should every finished load break a rule, tiers are taken off from the doors until none does.
        """
        outcomes = sorted(
            (outcome for worker in self.workers for outcome in worker.finished),
            key=lambda outcome: outcome.key,
        )
        loads = [(outcome, outcome.state) for outcome in outcomes]
        for outcome in outcomes[:1]:
            loads += [(outcome, state) for state in reversed([self.start, *outcome.trail[:-1]])]
        for outcome, state in loads:
            plan = self._plan(outcome, state)
            report = check_plan(self.judged_as, plan)
            if not report.broken or loose_of(self.request, report):
                break
        warnings = _warnings(self.judged_as, plan)
        plan = replace(plan, warnings=warnings, figures=report.figures)
        return plan, report, int(state.tally[SLACK])

    def _plan(self, outcome: Outcome, state: State) -> LoadPlan:
        order, pulls = self.orders[outcome.order]
        reasons = reasons_of(self.request, self.turns, state, self.barred)
        return plan_of(
            self.request, self.goods, self.turns, state, order, pulls, reasons, self.begun
        )


def _warnings(request: LoadRequest, plan: LoadPlan) -> tuple[str, ...]:
    """What people should know before they start."""
    out = []
    swap = pad_swap(request, plan)
    if swap.stock is not None and swap.short:
        out.append(
            f"{swap.needed} pads are needed, {swap.stock} are on the truck; they run out at step"
            f" {swap.short_at}"
        )
    reserve = reserve_of(request, plan)
    if reserve.short_mm and not plan.left_off:
        out.append(
            f"{reserve.kept_mm} mm are left before the doors; sizes that are only estimated may"
            f" take up to {reserve.wanted_mm} mm more"
        )
    if request.truck.ride == "spring" and request.distance_km > LONG_TRIP_KM:
        out.append("steel springs and a long trip: check every tier for play before closing it")
    if plan.left_off:
        out.append(f"{len(plan.left_off)} pieces do not go along, each with its reason")
    return tuple(out)
