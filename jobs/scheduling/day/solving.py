"""Balancing a day: who goes to which job and when, the last end as early as can be."""

from collections.abc import Callable
from dataclasses import dataclass

from jobs.scheduling.day.problem import day_problem
from jobs.scheduling.day.request import DayPlan, DayRequest
from jobs.scheduling.solver import annealing, crews, portfolio
from jobs.scheduling.solver.portfolio import Solution, solve
from jobs.scheduling.solver.problem import Problem
from jobs.scheduling.solver.rosters import rostered
from loading.planner.stopping import Stop

warm = portfolio.warm
_BY_ROSTERS, _BY_CREWS = 0.6, 0.75
"""The shares of the time by which crews are chosen that stay together all day, and mended."""


def balance(
    request: DayRequest,
    *,
    seed: int,
    stop: Stop,
    cancelled: Callable[[], bool] | None = None,
) -> DayPlan:
    """The best plan until `stop`: every job in its window before all else, then the last end."""
    day = day_problem(request)
    found = day_solution(day.problem, seed=seed, stop=stop, cancelled=cancelled)
    return day.plan(found.schedule, found.bound)


def day_solution(
    problem: Problem,
    *,
    seed: int,
    stop: Stop,
    cancelled: Callable[[], bool] | None = None,
) -> Solution:
    """First by crews that stay together, then by crews that meet for one job."""
    give_up = cancelled or (lambda: False)
    rosters = rostered(problem, stop=_Share(stop, _BY_ROSTERS, give_up))
    mended = _Share(stop, _BY_CREWS, give_up)
    together = crews.scheduled_by_crews(problem, seed=seed, stop=mended, first=rosters)
    apart = solve(problem, seed=seed, stop=stop, prove=False, former=together, cancelled=cancelled)
    found = [apart.schedule, *([together] if together else [])]
    return Solution(min(found, key=lambda one: annealing.rank(problem, one)), apart.bound)


@dataclass(frozen=True, slots=True)
class _Share:
    """A stopping rule that ends when part of another has passed."""

    whole: Stop
    part: float
    cancelled: Callable[[], bool]

    def reached(self, iterations: int) -> bool:
        over = self.whole.reached(iterations) or self.cancelled()
        return over or self.whole.share(iterations) >= self.part

    def share(self, iterations: int) -> float:
        return min(1.0, self.whole.share(iterations) / self.part)
