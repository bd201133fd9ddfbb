"""Better and better schedules.

Where there are few activities, by simulated annealing over the choices of which `events` makes
them. Where there are many, many schedules side by side, see `widening`; where none of these comes
to its end, or people go away in between, stretch by stretch too.
"""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from jobs.scheduling.solver import events
from jobs.scheduling.solver.bounds import gauges_of, lower_bound
from jobs.scheduling.solver.guides import Guide, guide_of
from jobs.scheduling.solver.listing import Found, first_found
from jobs.scheduling.solver.problem import Activity, Mode, Problem, Schedule
from jobs.scheduling.solver.stretches import Sweeps
from jobs.scheduling.solver.tables import (
    Choices,
    Made,
    Tables,
    desk_of,
    made_of,
    schedule_of,
    tables_of,
)
from jobs.scheduling.solver.tariffs import tariffs_of
from jobs.scheduling.solver.widening import Widening
from loading.planner.stopping import Iterations, Stop

_MANY = 120
"""From so many activities on, a change shifts too much to be judged by the last end."""
_BROKEN = 0.5
"""The share of the time for them where people go away in between: the guide does not see that."""
_DEAD_ENDS = 2
"""After so many times without a schedule, there will be none."""
_TRIES = 40
"""Schedules made between two looks at the stopping rule."""
_HOT, _COLD = 0.004, 0.00005
"""The temperature at first and in the end, as shares of the first schedule's length."""


def improve(
    problem: Problem,
    *,
    seed: int,
    stop: Stop,
    bound: int | None = None,
    former: Schedule | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Schedule:
    """The best schedule found until `stop`, or until it ends at the lower bound.

    `bound` is that bound, where it is known already.
    """
    many = len(problem.activities) >= _MANY
    gauges = gauges_of(problem) if many else []
    tables = tables_of(problem, gauges)
    first = first_found(problem, tables, former)
    least = lower_bound(problem) if bound is None else bound

    def is_over(rounds: int, best: Found) -> bool:
        at_best = best.is_in_time(tables) and best.end <= least
        return at_best or stop.reached(rounds) or bool(cancelled and cancelled())

    found = (
        _widened(tables, guide_of(problem, tariffs_of(problem, gauges)), first, seed, stop, is_over)
        if many
        else [_annealed(tables, first, seed, stop, is_over)]
    )
    # The search also looks at the mean end, so what it likes best may end a little later.
    made = (schedule_of(tables, one.made) for one in (first, *found))
    return min(made, key=lambda schedule: rank(problem, schedule))


def rank(problem: Problem, schedule: Schedule) -> tuple[int, int, int]:
    """What is not done, what is late, the last end."""
    late = 0
    for activity, start in zip(problem.activities, schedule.starts, strict=True):
        if start is not None and activity.due is not None:
            late += max(0, start.ends - activity.due)
    return len(schedule.left_over), late, schedule.end


def _widened(
    tables: Tables,
    guide: Guide,
    first: Found,
    seed: int,
    stop: Stop,
    is_over: Callable[[int, Found], bool],
) -> list[Found]:
    """The best that was made side by side, and what was swept where that may be better."""
    wide, best = Widening(tables, guide, first.end, seed), first
    broken = _is_broken(tables, first)
    while not is_over(wide.rounds, best):
        if wide.best is None and wide.times == _DEAD_ENDS:
            break
        if broken and stop.share(wide.rounds) >= _BROKEN:
            break
        wide.advance(lambda: stop.share(wide.rounds))
        if wide.best is not None and wide.best is not best.made:
            best = replace(first, made=wide.best, cost=wide.cost)
    if broken or wide.best is None:
        return [best, _swept(tables, first, seed, stop, is_over)]
    return [best]


def _is_broken(tables: Tables, first: Found) -> bool:
    """Whether somebody goes away while the work lasts."""
    begins, ends = tables.away[:, 0], tables.away[:, 1]
    return bool(((ends > 0) & (begins > 0) & (begins < first.end)).any())


def _swept(
    tables: Tables, first: Found, seed: int, stop: Stop, is_over: Callable[[int, Found], bool]
) -> Found:
    sweeps = Sweeps(tables, first, seed, began=stop.share(0))
    while not is_over(sweeps.rounds, sweeps.best):
        sweeps.advance(lambda: stop.share(sweeps.rounds))
    return sweeps.best


def _annealed(
    tables: Tables, first: Found, seed: int, stop: Stop, is_over: Callable[[int, Found], bool]
) -> Found:
    now = Choices(*(values.copy() for values in first.choices))
    best = Choices(*(values.copy() for values in now))
    best_made = Made(*(values.copy() for values in first.made))
    desk, made = desk_of(tables), made_of(tables)
    costs = np.array([first.cost, first.cost])
    scale = float(max(1, first.end))
    rounds = 0
    while not is_over(rounds, Found(best, best_made, float(costs[1]), first.strict)):
        share = stop.share(rounds)
        heat = scale * _HOT * math.exp(share * math.log(_COLD / _HOT))
        rounds += 1
        step = (seed * 1_000_003 + rounds) % (1 << 31)
        events.anneal(
            tables, now, best, first.strict, desk, made, best_made, costs, _TRIES, heat, step
        )
        if costs[0] > costs[1] + 8 * heat:
            for values, better in zip(now, best, strict=True):
                values[:] = better
            costs[0] = costs[1]
    return Found(best, best_made, float(costs[1]), first.strict)


def warm() -> None:
    """Compile what is compiled, or load it, for few activities and for many."""
    problem = Problem((Activity((Mode(1),)),))
    tables = tables_of(problem)
    first = first_found(problem, tables, None)
    _annealed(tables, first, 1, Iterations(1), lambda rounds, _: rounds > 0)
    Sweeps(tables, first, 1).advance(lambda: 1.0)
    Widening(tables, guide_of(problem, ()), first.end, 1).advance(lambda: 1.0)
