"""Who fills the seats of an activity, in a linear programme."""

from collections.abc import Iterator, Sequence

from ortools.linear_solver import pywraplp  # type: ignore[import-untyped]

from jobs.scheduling.solver.pools import may_sit
from jobs.scheduling.solver.problem import Activity, Mode


def shares_of(
    solver: pywraplp.Solver,
    activity: Activity,
    mode: Mode,
    kinds: Sequence[Sequence[int]],
    times: pywraplp.Variable,
) -> Iterator[tuple[int, pywraplp.Variable]]:
    """For each seat and each kind of people that may take it, how often they do.

    Every seat is taken as often as the activity is done in this mode (`times`), and nobody takes
    two of them at once.
    """
    at_once = {}
    for seat in mode.seats:
        filled = solver.Constraint(0, 0)
        filled.SetCoefficient(times, -1)
        for kind, people in enumerate(kinds):
            if not may_sit(activity, seat, people[0]):
                continue
            share = solver.NumVar(0, solver.infinity(), "")
            filled.SetCoefficient(share, 1)
            if kind not in at_once:
                at_once[kind] = solver.Constraint(-solver.infinity(), 0)
                at_once[kind].SetCoefficient(times, -len(people))
            at_once[kind].SetCoefficient(share, 1)
            yield kind, share
