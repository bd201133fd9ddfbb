"""The first schedules: a few list schedules, made in well under a millisecond each."""

from dataclasses import dataclass

import numpy as np

from jobs.scheduling.solver import events
from jobs.scheduling.solver.problem import Problem, Schedule
from jobs.scheduling.solver.tables import (
    Choices,
    Made,
    Tables,
    choices_of,
    desk_of,
    made_of,
    schedule_of,
    tables_of,
)


@dataclass(frozen=True, slots=True)
class Found:
    """A schedule, the choices it was made from, its cost, and whether holds opened in order."""

    choices: Choices
    made: Made
    cost: float
    strict: bool

    @property
    def end(self) -> int:
        return int(self.made.ends.max())

    def is_in_time(self, tables: Tables) -> bool:
        """Whether all is done and nothing is late."""
        return bool((self.made.mode >= 0).all() and (self.made.ends <= tables.due).all())


def first_schedule(problem: Problem) -> Schedule:
    """The best of the list schedules."""
    tables = tables_of(problem)
    return schedule_of(tables, first_found(problem, tables, None).made)


def first_found(problem: Problem, tables: Tables, former: Schedule | None) -> Found:
    """The best by a few keys, loose or strict about the order of holds."""
    count = len(problem.activities)
    given = np.empty(count)
    given[list(problem.order)] = np.arange(count)
    keys = [-tables.tail.astype(np.float64), given]
    if former is not None and len(former.starts) == count:
        goes = [np.inf if start is None else start.goes for start in former.starts]
        keys.insert(0, np.array(goes, np.float64))
    desk = desk_of(tables)
    best: Found | None = None
    for key in keys:
        for wait in (False, True):
            choices = choices_of(key, wait=wait)
            for strict in (False, True):
                made = made_of(tables)
                cost = events.run(tables, choices, strict, desk, made)
                if best is None or cost < best.cost:
                    best = Found(choices, made, cost, strict)
                if (made.mode >= 0).all():
                    break
    if best is None:
        raise AssertionError("there is always a key")
    in_time = best.choices._replace(key=best.made.goes.astype(np.float64))
    again = made_of(tables)
    cost = events.run(tables, in_time, best.strict, desk, again)
    return Found(in_time, again, cost, best.strict) if cost <= best.cost else best
