"""CP-SAT on the same problem: it proves, and on small problems it improves.

People are nobody in particular here: for every set of people that some seat asks for there is a
limit on how many such seats are taken at once. Ways between places are left out. So what it
proves holds, and what it finds are beginnings from which `events` makes a schedule with names.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from jobs.scheduling.solver.bounds import lower_bound
from jobs.scheduling.solver.pools import seat_pools, sure_of
from jobs.scheduling.solver.problem import Activity, Problem, Schedule


@dataclass(frozen=True, slots=True)
class Proof:
    """The beginnings found and their modes, in the order of the activities; the proved bound."""

    begins: tuple[int, ...] | None
    modes: tuple[int, ...]
    bound: int
    proved: bool


@dataclass(slots=True)
class Prover:
    """One run of CP-SAT that starts from a schedule; `run` blocks, `stop` may come from outside.

    With `effort` given, it ends after so much deterministic work instead, and with one worker
    gives the same answer every time; `seconds` is a limit of its own clock.
    """

    problem: Problem
    hint: Schedule
    seed: int
    workers: int = 1
    effort: float | None = None
    seconds: float | None = None
    _solver: cp_model.CpSolver = field(init=False, default_factory=cp_model.CpSolver)
    _stopped: bool = field(init=False, default=False)

    def run(self) -> Proof:
        model = _Model(self.problem, self.hint)
        nothing = Proof(None, (), lower_bound(self.problem), proved=False)
        if self._stopped:
            return nothing
        parameters = self._solver.parameters
        parameters.num_workers = self.workers
        parameters.random_seed = self.seed
        if self.effort is not None:
            parameters.max_deterministic_time = self.effort
        if self.seconds is not None:
            parameters.max_time_in_seconds = self.seconds
        status = self._solver.solve(model.model, _Listener(self))
        bound = max(nothing.bound, round(self._solver.best_objective_bound))
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return nothing
        return Proof(
            begins=tuple(self._solver.value(begin) for begin in model.begins),
            modes=tuple(self._mode(ways) for ways in model.chosen),
            bound=bound,
            proved=status == cp_model.OPTIMAL,
        )

    def stop(self) -> None:
        self._stopped = True
        self._solver.stop_search()

    def _mode(self, ways: Sequence[cp_model.IntVar]) -> int:
        return next((k for k, way in enumerate(ways) if self._solver.boolean_value(way)), 0)


class _Listener(cp_model.CpSolverSolutionCallback):
    """Without a listener, `stop_search` is not heard."""

    def __init__(self, prover: Prover) -> None:
        super().__init__()
        self.prover = prover

    def on_solution_callback(self) -> None:
        if self.prover._stopped:
            self.stop_search()


class _Model:
    """The variables and constraints."""

    def __init__(self, problem: Problem, hint: Schedule) -> None:
        self.model = cp_model.CpModel()
        self.problem = problem
        self.horizon = max(hint.end, 1)
        self.begins: list[cp_model.IntVar] = []
        self.ends: list[cp_model.LinearExpr] = []
        self.chosen: list[list[cp_model.IntVar]] = []
        self.intervals: list[list[cp_model.IntervalVar]] = []
        for activity in problem.activities:
            self._add(activity)
        for number, activity in enumerate(problem.activities):
            for need in activity.needs:
                self.model.add(self.begins[number] >= self.ends[need])
        self._limit_resources()
        self._limit_people()
        last = self.model.new_int_var(lower_bound(problem), self.horizon, "last")
        self.model.add_max_equality(last, self.ends)
        self.model.minimize(last)
        self._hint(hint)

    def _add(self, activity: Activity) -> None:
        model = self.model
        begin = model.new_int_var(activity.release, self.horizon, "")
        if len(activity.modes) == 1:
            duration = activity.modes[0].duration
            self.ends.append(begin + duration)
            self.intervals.append([model.new_fixed_size_interval_var(begin, duration, "")])
            self.chosen.append([])
        else:
            ways = [model.new_bool_var("") for _ in activity.modes]
            end = model.new_int_var(0, self.horizon, "")
            model.add_exactly_one(ways)
            self.intervals.append(
                [
                    model.new_optional_interval_var(begin, mode.duration, end, way, "")
                    for mode, way in zip(activity.modes, ways, strict=True)
                ]
            )
            self.ends.append(end)
            self.chosen.append(ways)
        self.begins.append(begin)

    def _limit_resources(self) -> None:
        for resource, capacity in enumerate(self.problem.capacities):
            intervals, amounts = [], []
            for number, activity in enumerate(self.problem.activities):
                for mode, interval in zip(activity.modes, self.intervals[number], strict=True):
                    if mode.amounts and mode.amounts[resource] > 0 and mode.duration > 0:
                        intervals.append(interval)
                        amounts.append(mode.amounts[resource])
            for hold in self.problem.holds:
                if hold.resource == resource and hold.amount > 0:
                    begin = self.begins[hold.opens] if hold.opens >= 0 else 0
                    length = self.model.new_int_var(0, self.horizon, "")
                    intervals.append(
                        self.model.new_interval_var(begin, length, self.ends[hold.closes], "")
                    )
                    amounts.append(hold.amount)
            if intervals:
                self.model.add_cumulative(intervals, amounts, capacity)

    def _limit_people(self) -> None:
        for people in seat_pools(self.problem):
            intervals, amounts = [], []
            for number, activity in enumerate(self.problem.activities):
                for mode, interval in zip(activity.modes, self.intervals[number], strict=True):
                    seats = sure_of(activity, mode, people)
                    if seats and mode.duration > 0:
                        intervals.append(interval)
                        amounts.append(seats)
            if not intervals:
                continue
            for person in sorted(people):
                for away, back in self.problem.people[person].absences:
                    away, back = max(0, away), min(back, self.horizon)
                    if away < back:
                        intervals.append(
                            self.model.new_fixed_size_interval_var(away, back - away, "")
                        )
                        amounts.append(1)
            self.model.add_cumulative(intervals, amounts, len(people))

    def _hint(self, hint: Schedule) -> None:
        for number, start in enumerate(hint.starts):
            if start is None:
                continue
            self.model.add_hint(self.begins[number], start.begins)
            for k, way in enumerate(self.chosen[number]):
                self.model.add_hint(way, k == start.mode)
