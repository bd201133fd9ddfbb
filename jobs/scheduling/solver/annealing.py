"""Simulated annealing over the choices from which `events` makes a schedule."""

import math
from collections.abc import Callable

import numpy as np

from jobs.scheduling.solver import events
from jobs.scheduling.solver.bounds import lower_bound
from jobs.scheduling.solver.problem import Problem, Schedule
from jobs.scheduling.solver.tables import (
    Choices,
    Made,
    Tables,
    desk_of,
    made_of,
    schedule_of,
    tables_of,
)
from loading.planner.stopping import Stop

_TRIES = 40
"""Schedules made between two looks at the stopping rule."""
_HOT, _COLD = 0.004, 0.00005
"""The temperature at first and in the end, as shares of the first schedule's length."""


def first_schedule(problem: Problem) -> Schedule:
    """The best of a few list schedules, made in well under a millisecond each."""
    tables = tables_of(problem)
    _, made, _, _ = _first(problem, tables, None)
    return schedule_of(tables, made)


def improve(
    problem: Problem,
    *,
    seed: int,
    stop: Stop,
    former: Schedule | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Schedule:
    """The best schedule found until `stop`, or until it ends at the lower bound."""
    tables = tables_of(problem)
    now, best_made, cost, strict = _first(problem, tables, former)
    first = schedule_of(tables, best_made)
    bound = lower_bound(problem)
    best = Choices(*(values.copy() for values in now))
    desk, made = desk_of(tables), made_of(tables)
    costs = np.array([cost, cost])
    scale = float(max(1, *best_made.ends.tolist()))
    rounds = 0
    while not stop.reached(rounds) and not (cancelled and cancelled()):
        in_time = (best_made.mode >= 0).all() and (best_made.ends <= tables.due).all()
        if in_time and int(best_made.ends.max()) <= bound:
            break
        share = stop.share(rounds)
        heat = scale * _HOT * math.exp(share * math.log(_COLD / _HOT))
        rounds += 1
        step = (seed * 1_000_003 + rounds) % (1 << 31)
        events.anneal(tables, now, best, strict, desk, made, best_made, costs, _TRIES, heat, step)
        if costs[0] > costs[1] + 8 * heat:
            for values, better in zip(now, best, strict=True):
                values[:] = better
            costs[0] = costs[1]
    # The search also looks at the mean end, so what it likes best may end a little later.
    found = schedule_of(tables, best_made)
    return min((first, found), key=lambda schedule: _rank(problem, schedule))


def _rank(problem: Problem, schedule: Schedule) -> tuple[int, int, int]:
    """What is not done, what is late, the last end."""
    late = 0
    for activity, start in zip(problem.activities, schedule.starts, strict=True):
        if start is not None and activity.due is not None:
            late += max(0, start.ends - activity.due)
    return len(schedule.left_over), late, schedule.end


def warm() -> None:
    """Compile what is compiled, or load it."""
    from jobs.scheduling.solver.problem import Activity, Mode
    from loading.planner.stopping import Iterations

    improve(Problem((Activity((Mode(1),)),)), seed=1, stop=Iterations(1))


def _first(
    problem: Problem, tables: Tables, former: Schedule | None
) -> tuple[Choices, Made, float, bool]:
    """The best of the list schedules by a few keys, loose or strict about the order of holds."""
    count = len(problem.activities)
    given = np.empty(count)
    given[list(problem.order)] = np.arange(count)
    keys = [-tables.tail.astype(np.float64), given]
    if former is not None and len(former.starts) == count:
        goes = [np.inf if start is None else start.goes for start in former.starts]
        keys.insert(0, np.array(goes, np.float64))
    desk = desk_of(tables)
    best: tuple[Choices, Made, float, bool] | None = None
    for key in keys:
        for wait in (False, True):
            choices = Choices(key.copy(), np.full(count, wait), np.full(count, -1, np.int64))
            for strict in (False, True):
                made = made_of(tables)
                cost = events.run(tables, choices, strict, desk, made)
                if best is None or cost < best[2]:
                    best = choices, made, cost, strict
                if (made.mode >= 0).all():
                    break
    if best is None:
        raise AssertionError("there is always a key")
    choices, made, cost, strict = best
    in_time = Choices(made.goes.astype(np.float64), choices.wait, choices.mode)
    again = made_of(tables)
    if events.run(tables, in_time, strict, desk, again) <= cost:
        return in_time, again, events.run(tables, in_time, strict, desk, again), strict
    return choices, made, cost, strict
