"""Balancing a day: who goes to which job and when, the last end as early as can be."""

from collections.abc import Callable

from jobs.scheduling.day.problem import day_problem
from jobs.scheduling.day.request import DayPlan, DayRequest
from jobs.scheduling.solver import annealing
from jobs.scheduling.solver.portfolio import solve
from loading.planner.stopping import Stop

warm = annealing.warm


def balance(
    request: DayRequest,
    *,
    seed: int,
    stop: Stop,
    cancelled: Callable[[], bool] | None = None,
) -> DayPlan:
    """The best plan until `stop`: every job in its window before all else, then the last end."""
    day = day_problem(request)
    found = solve(day.problem, seed=seed, stop=stop, prove=False, cancelled=cancelled)
    return day.plan(found.schedule, found.bound)
