"""Each task to one agent: least cost within the agents' capacities, or the last one done earliest.

The second is the first without costs: an agent's load is when it is done. Annealing by shifts
and swaps gives a start at once and goes on beside CP-SAT, which proves. For the last to be done
earlier, ways are looked for in which nobody has more than a little less than the best so far.
"""

import math
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from ortools.linear_solver import pywraplp  # type: ignore[import-untyped]
from ortools.sat.python import cp_model

from jobs.scheduling.solver.kernel import bare, kernel
from loading.planner.stopping import Stop

Array = np.ndarray[Any, Any]
_TRIES, _LOWER_TRIES = 20_000, 80_000
_HOT, _COLD = 0.01, 0.0001
_HEATS, _WEIGHTS = (0.02, 0.006), (0.3, 0.3, 3.0)
"""In turn: the heat at first as a share of what an agent may have, and the weight of prices."""


@dataclass(frozen=True, slots=True)
class Allocation:
    """`cost` and `load` of each agent (row) for each task (column).

    With `capacity`, one for each agent, the least total cost is looked for; without, the least
    load of the agent with most.
    """

    cost: tuple[tuple[int, ...], ...]
    load: tuple[tuple[int, ...], ...]
    capacity: tuple[int, ...] | None = None

    def value(self, agents: Sequence[int]) -> int:
        """The total cost, or the greatest load."""
        if self.capacity is not None:
            return sum(self.cost[agent][task] for task, agent in enumerate(agents))
        return max(self.loads(agents), default=0)

    def loads(self, agents: Sequence[int]) -> list[int]:
        loads = [0] * len(self.load)
        for task, agent in enumerate(agents):
            loads[agent] += self.load[agent][task]
        return loads

    def fits(self, agents: Sequence[int]) -> bool:
        if self.capacity is None:
            return True
        return all(
            load <= most for load, most in zip(self.loads(agents), self.capacity, strict=True)
        )


@dataclass(frozen=True, slots=True)
class Allotment:
    """The agent of each task, None where no way within the capacities was found; the bound."""

    agents: tuple[int, ...] | None
    bound: int
    proved: bool


def allot(problem: Allocation, *, seed: int, stop: Stop, prove: bool = True) -> Allotment:
    """The best found until `stop`, or until it is proved that there is none better.

    Without `prove` the same seed and number of iterations give the same answer.
    """
    tasks = len(problem.load[0]) if problem.load else 0
    if not tasks:
        return Allotment((), 0, proved=True)
    search = _Search(problem, seed)
    search.advance(1.0)
    with ThreadPoolExecutor(1) as threads:
        beside = _Proof(problem, search.best, seed) if prove and not search.is_done() else None
        future: Future[Allotment] | None = threads.submit(beside.run) if beside else None
        rounds = 0
        while not (search.is_done() or stop.reached(rounds) or (future and future.done())):
            rounds += 1
            search.advance(stop.share(rounds))
        if beside is None or future is None:
            return Allotment(search.best, search.bound, proved=search.is_done())
        beside.stop()
        proof = future.result()
    ways = [agents for agents in (proof.agents, search.best) if agents is not None]
    best = min(ways, key=problem.value, default=None)
    return Allotment(best, max(proof.bound, search.bound), proof.proved or search.is_done())


@dataclass(slots=True)
class _Search:
    """`bound` holds where there are no capacities; `price` is what each task takes of it where."""

    problem: Allocation
    seed: int
    best: tuple[int, ...] | None = None
    rounds: int = 0
    bound: int = 0
    agents: Array = field(init=False)
    load: Array = field(init=False)
    price: Array = field(init=False)

    def __post_init__(self) -> None:
        self.load = np.array(self.problem.load, np.int64)
        self.agents = np.argmin(self.load, axis=0).astype(np.int64)
        if self.problem.capacity is None:
            self.bound, weights = _shared(self.load)
            self.price = weights[:, None] * self.load
            self.best = tuple(self.agents.tolist())

    def is_done(self) -> bool:
        """Whether nothing can be better."""
        no_costs, best = self.problem.capacity is None, self.best
        return no_costs and best is not None and self.problem.value(best) <= self.bound

    def advance(self, share: float) -> None:
        """Some thousand tries; a share of 1 stands for all temperatures from hot to cold."""
        self.rounds += 1
        step = (self.seed * 1_000_003 + self.rounds) % (1 << 31)
        if self.problem.capacity is None:
            self._lower(step)
        else:
            self._save(self.problem.capacity, share, step)

    def _save(self, capacity: tuple[int, ...], share: float, step: int) -> None:
        problem, most = self.problem, np.array(capacity, np.int64)
        hot = _HOT if self.rounds % 4 == 1 else _HOT * (1 - share) / 2 + _COLD
        found, cost = np.empty_like(self.agents), np.array(problem.cost, np.int64)
        value = _anneal(cost, self.load, most, self.agents, found, _TRIES, hot, _COLD, step)
        if value < 0:
            return
        agents = tuple(found.tolist())
        if self.best is None or problem.value(agents) < problem.value(self.best):
            self.best = agents

    def _lower(self, step: int) -> None:
        """At first right down to the bound, then to a little less than the best."""
        best = self.problem.value(self.best or ())
        most = self.bound if self.rounds == 1 else max(self.bound, best - 1)
        heat = max(1, most) * _HEATS[self.rounds % len(_HEATS)]
        price = self.price * _WEIGHTS[self.rounds // len(_HEATS) % len(_WEIGHTS)]
        _under(self.load, price, most, self.agents, _LOWER_TRIES, heat, heat / 50, step)
        agents = tuple(self.agents.tolist())
        if self.problem.value(agents) < best:
            self.best = agents


def _shared(load: Array) -> tuple[int, Array]:
    """The least greatest load with tasks in fractions, and each agent's part in what holds it up.

    The parts are the programme's dual prices; 0 and equal parts where the solver has no answer.
    """
    solver = pywraplp.Solver.CreateSolver("GLOP")
    agents, tasks = load.shape
    last = solver.NumVar(0, solver.infinity(), "")
    once = [solver.Constraint(1, 1) for _ in range(tasks)]
    within = [solver.Constraint(-solver.infinity(), 0) for _ in range(agents)]
    for agent in range(agents):
        within[agent].SetCoefficient(last, -1)
        for task in range(tasks):
            part = solver.NumVar(0, 1, "")
            once[task].SetCoefficient(part, 1)
            within[agent].SetCoefficient(part, int(load[agent, task]))
    solver.Minimize(last)
    if solver.Solve() != pywraplp.Solver.OPTIMAL:
        return 0, np.full(agents, 1.0 / agents)
    # A little less, for the solver's numbers are not exact.
    bound = math.ceil(solver.Objective().Value() - 1e-4)
    return bound, np.array([-one.dual_value() for one in within])


@dataclass(slots=True)
class _Proof:
    problem: Allocation
    hint: tuple[int, ...] | None
    seed: int
    solver: cp_model.CpSolver = field(default_factory=cp_model.CpSolver)
    stopped: bool = False

    def run(self) -> Allotment:
        model, chosen = _model(self.problem, self.hint)
        if self.stopped:
            return Allotment(None, 0, proved=False)
        self.solver.parameters.num_workers = 1 if self.problem.capacity is None else 2
        self.solver.parameters.linearization_level = 2
        self.solver.parameters.random_seed = self.seed
        status = self.solver.solve(model, _Listener(lambda: self.stopped))
        bound = round(self.solver.best_objective_bound)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Allotment(None, bound, proved=status == cp_model.INFEASIBLE)
        agents = tuple(
            next(agent for agent, way in enumerate(ways) if self.solver.boolean_value(way))
            for ways in chosen
        )
        return Allotment(agents, bound, proved=status == cp_model.OPTIMAL)

    def stop(self) -> None:
        self.stopped = True
        self.solver.stop_search()


class _Listener(cp_model.CpSolverSolutionCallback):
    """Without a listener, `stop_search` is not heard."""

    def __init__(self, stopped: Callable[[], bool]) -> None:
        super().__init__()
        self.stopped = stopped

    def on_solution_callback(self) -> None:
        if self.stopped():
            self.stop_search()


def _model(
    problem: Allocation, hint: Sequence[int] | None
) -> tuple[cp_model.CpModel, list[list[cp_model.IntVar]]]:
    model = cp_model.CpModel()
    agents, tasks = range(len(problem.load)), range(len(problem.load[0]))
    chosen = [[model.new_bool_var("") for _ in agents] for _ in tasks]
    for ways in chosen:
        model.add_exactly_one(ways)
    loads = [sum(problem.load[a][t] * chosen[t][a] for t in tasks) for a in agents]
    if problem.capacity is not None:
        for load, most in zip(loads, problem.capacity, strict=True):
            model.add(load <= most)
        model.minimize(sum(problem.cost[a][t] * chosen[t][a] for t in tasks for a in agents))
    else:
        most = sum(max(problem.load[a][t] for a in agents) for t in tasks)
        last = model.new_int_var(0, most, "last")
        for load in loads:
            model.add(load <= last)
        # The loads together are at least what the tasks take at least.
        model.add(len(loads) * last >= sum(min(problem.load[a][t] for a in agents) for t in tasks))
        model.minimize(last)
    for task, agent in enumerate(hint or ()):
        for a in agents:
            model.add_hint(chosen[task][a], a == agent)
    return model, chosen


@kernel
def _energy(capacity, held, cost, penalty):  # type: ignore[no-untyped-def]
    """Cost with a price on what is over."""
    over = 0
    for a in range(len(held)):
        over += max(0, held[a] - capacity[a])
    return cost + penalty * over


@bare
def _drawn(agents, m):  # type: ignore[no-untyped-def]
    """A shift or a swap: a task, the one it changes with (or itself), and the agent it goes to."""
    n = len(agents)
    t = np.random.randint(0, n)
    u, b = t, np.random.randint(0, m)
    if np.random.random() < 0.5:
        u = np.random.randint(0, n)
        b = agents[u]
    return t, u, b


@kernel
def _anneal(cost, load, capacity, agents, found, tries, hot, cold, seed):  # type: ignore[no-untyped-def]
    """Shifts and swaps from `agents` on; the best that fits into `found`, its value or -1."""
    np.random.seed(seed)
    m, n = load.shape
    held = np.zeros(m, np.int64)
    total = 0
    for t in range(n):
        held[agents[t]] += load[agents[t], t]
        total += cost[agents[t], t]
    penalty = 1.0 + 2.0 * (cost.max() - cost.min()) / max(1, load.max())
    scale = 20.0 * max(1.0, abs(float(total)) / n)
    now = _energy(capacity, held, total, penalty)
    best = -1
    for k in range(tries):
        heat = scale * hot * (cold / hot) ** (k / tries)
        t, u, b = _drawn(agents, m)
        a = agents[t]
        if a == b:
            continue
        held[a] -= load[a, t]
        held[b] += load[b, t]
        then = total + cost[b, t] - cost[a, t]
        if u != t:
            held[b] -= load[b, u]
            held[a] += load[a, u]
            then += cost[a, u] - cost[b, u]
        energy = _energy(capacity, held, then, penalty)
        if energy <= now or np.random.random() < np.exp((now - energy) / heat):
            now, total = energy, then
            agents[t] = b
            if u != t:
                agents[u] = a
            fits = True
            for c in range(m):
                fits = fits and held[c] <= capacity[c]
            if fits and (best == -1 or total < best):
                best = total
                found[:] = agents
            continue
        held[a] += load[a, t]
        held[b] -= load[b, t]
        if u != t:
            held[b] += load[b, u]
            held[a] -= load[a, u]
    return best


@kernel
def _under(load, price, most, agents, tries, hot, cold, seed):  # type: ignore[no-untyped-def]
    """Shifts and swaps of `agents` until nobody has more than `most`.

    What counts is what is over, and the price of who does what.
    """
    np.random.seed(seed)
    m, n = load.shape
    held = np.zeros(m, np.int64)
    for t in range(n):
        held[agents[t]] += load[agents[t], t]
    over = 0
    for a in range(m):
        over += max(0, held[a] - most)
    heat, cooler = hot, (cold / hot) ** (1.0 / tries)
    for _ in range(tries):
        if over == 0:
            return
        heat *= cooler
        t, u, b = _drawn(agents, m)
        a = agents[t]
        if a == b:
            continue
        one, other = held[a] - load[a, t], held[b] + load[b, t]
        dearer = price[b, t] - price[a, t]
        if u != t:
            one += load[a, u]
            other -= load[b, u]
            dearer += price[a, u] - price[b, u]
        more = max(0, one - most) + max(0, other - most)
        more -= max(0, held[a] - most) + max(0, held[b] - most)
        worse = more + dearer
        if worse <= 0 or np.random.random() < np.exp(-worse / heat):
            over += more
            held[a], held[b] = one, other
            agents[t] = b
            if u != t:
                agents[u] = a
