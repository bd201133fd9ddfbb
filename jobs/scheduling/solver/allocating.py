"""Each task to one agent: least cost within the agents' capacities, or the last one done earliest.

The second is the first without costs: an agent's load is when it is done. Annealing by shifts
and swaps gives a start at once and goes on beside CP-SAT, which proves.
"""

from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from ortools.sat.python import cp_model

from jobs.scheduling.solver.kernel import kernel
from loading.planner.stopping import Stop

Array = np.ndarray[Any, Any]
_TRIES = 20_000
_HOT, _COLD = 0.01, 0.0001


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
        beside = _Proof(problem, search.best, seed) if prove else None
        future: Future[Allotment] | None = threads.submit(beside.run) if beside else None
        rounds = 0
        while not stop.reached(rounds) and not (future and future.done()):
            rounds += 1
            search.advance(stop.share(rounds))
        if beside is None or future is None:
            return Allotment(search.best, 0, proved=False)
        beside.stop()
        proof = future.result()
    ways = [agents for agents in (proof.agents, search.best) if agents is not None]
    best = min(ways, key=problem.value, default=None)
    return Allotment(best, proof.bound, proof.proved)


@dataclass(slots=True)
class _Search:
    problem: Allocation
    seed: int
    best: tuple[int, ...] | None = None
    rounds: int = 0
    agents: Array = field(init=False)

    def __post_init__(self) -> None:
        load = np.array(self.problem.load, np.int64)
        self.agents = np.argmin(load, axis=0).astype(np.int64)

    def advance(self, share: float) -> None:
        """Some thousand tries; a share of 1 stands for all temperatures from hot to cold."""
        self.rounds += 1
        problem = self.problem
        load = np.array(problem.load, np.int64)
        cost = np.array(problem.cost if problem.capacity else problem.load, np.int64)
        capacity = np.array(problem.capacity or (-1,) * len(load), np.int64)
        step = (self.seed * 1_000_003 + self.rounds) % (1 << 31)
        hot = _HOT if self.rounds % 4 == 1 else _HOT * (1 - share) / 2 + _COLD
        found = np.empty_like(self.agents)
        value = _anneal(cost, load, capacity, self.agents, found, _TRIES, hot, _COLD, step)
        if value < 0:
            return
        agents = tuple(found.tolist())
        if self.best is None or problem.value(agents) < problem.value(self.best):
            self.best = agents


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
        self.solver.parameters.num_workers = 2
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
    """Cost with a price on what is over; without capacities the greatest load and their squares."""
    if capacity[0] < 0:
        most, squares, total = 0, 0.0, 0.0
        for a in range(len(held)):
            most = max(most, held[a])
            squares += float(held[a]) * held[a]
            total += held[a]
        return most + 0.2 * np.sqrt(squares / len(held)) + 0.001 * total / len(held)
    over = 0
    for a in range(len(held)):
        over += max(0, held[a] - capacity[a])
    return cost + penalty * over


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
    scale = max(1.0, abs(float(total)) / n if capacity[0] >= 0 else float(held.max()))
    scale *= 20.0 if capacity[0] >= 0 else 1.0
    now = _energy(capacity, held, total, penalty)
    best = -1
    for k in range(tries):
        heat = scale * hot * (cold / hot) ** (k / tries)
        t = np.random.randint(0, n)
        a = agents[t]
        u, b = t, np.random.randint(0, m)
        if np.random.random() < 0.5:
            u = np.random.randint(0, n)
            b = agents[u]
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
            fits, most = True, 0
            for c in range(m):
                most = max(most, held[c])
                if capacity[0] >= 0 and held[c] > capacity[c]:
                    fits = False
            value = total if capacity[0] >= 0 else most
            if fits and (best == -1 or value < best):
                best = value
                found[:] = agents
            continue
        held[a] += load[a, t]
        held[b] -= load[b, t]
        if u != t:
            held[b] += load[b, u]
            held[a] -= load[a, u]
    return best
