"""Schedules of projects: tiny ones by hand and by brute force, published ones by their values."""

import itertools
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.scheduling.checker import broken_rules
from jobs.scheduling.commands.instances import Fields, parse_project
from jobs.scheduling.solver.bounds import lower_bound
from jobs.scheduling.solver.portfolio import solve
from jobs.scheduling.solver.problem import Activity, Mode, Problem, ProblemError
from jobs.scheduling.solver.proving import Prover
from loading.planner.stopping import Iterations

CREW = Path(__file__).parents[3] / "data" / "crew"


def project(*activities: tuple[int, int, tuple[int, ...]], capacity: int = 2) -> Problem:
    """Activities as (duration, amount, needs)."""
    return Problem(
        tuple(Activity((Mode(length, (amount,)),), needs) for length, amount, needs in activities),
        (capacity,),
    )


def test_nothing_ends_at_once() -> None:
    assert solve(Problem(()), seed=1, stop=Iterations(1)).schedule.end == 0


def test_two_fit_beside_each_other_and_the_third_waits() -> None:
    problem = project((3, 1, ()), (3, 1, ()), (2, 2, ()))
    found = solve(problem, seed=1, stop=Iterations(3), prove=False)
    assert (found.schedule.end, found.bound) == (5, 5)


def test_what_needs_itself_is_no_problem() -> None:
    with pytest.raises(ProblemError, match="needs itself"):
        project((1, 1, (1,)), (1, 1, (0,)))


def test_the_same_seed_gives_the_same_schedule() -> None:
    text = (CREW / "rcpsp_j60.jsonl").read_bytes().splitlines()[1]
    problem = parse_project(Fields.of(text, 1)).problem
    one, other = (solve(problem, seed=5, stop=Iterations(3), prove=False) for _ in range(2))
    assert one == other


def shortest(problem: Problem) -> int:
    """The best of the serial schedules of all orders, which holds an optimum."""
    best = 1 << 60
    count = len(problem.activities)
    for order in itertools.permutations(range(count)):
        if any(order.index(need) > order.index(i) for i in order for need in _needs(problem, i)):
            continue
        ends: dict[int, int] = {}
        taken = [0] * (sum(a.modes[0].duration for a in problem.activities) + 1)
        for i in order:
            mode = problem.activities[i].modes[0]
            begin = max((ends[need] for need in _needs(problem, i)), default=0)
            while any(
                taken[t] + mode.amounts[0] > problem.capacities[0]
                for t in range(begin, begin + mode.duration)
            ):
                begin += 1
            for t in range(begin, begin + mode.duration):
                taken[t] += mode.amounts[0]
            ends[i] = begin + mode.duration
        best = min(best, max(ends.values()))
    return best


def _needs(problem: Problem, number: int) -> tuple[int, ...]:
    return problem.activities[number].needs


@st.composite
def projects(draw: st.DrawFn) -> Problem:
    activities = []
    for number in range(draw(st.integers(1, 6))):
        needs = draw(st.sets(st.integers(0, number - 1), max_size=2)) if number else set()
        length, amount = draw(st.integers(0, 5)), draw(st.integers(0, 3))
        activities.append((length, amount, tuple(sorted(needs))))
    return project(*activities, capacity=3)


@given(projects())
def test_small_projects_are_solved_to_their_optimum_and_the_bound_holds(problem: Problem) -> None:
    optimum = shortest(problem)
    found = solve(problem, seed=1, stop=Iterations(4), prove=False)
    assert broken_rules(problem, found.schedule) == ()
    assert found.schedule.end == optimum
    assert lower_bound(problem) <= optimum
    proof = Prover(problem, found.schedule, seed=1, effort=5.0).run()
    assert proof.proved
    assert proof.bound == optimum


@pytest.mark.parametrize(
    ("name", "gap"), [("rcpsp_j30", 0.005), ("rcpsp_j60", 0.01), ("rcpsp_j120", 0.04)]
)
def test_published_projects_come_near_their_best_known_length(name: str, gap: float) -> None:
    """PSPLIB; tests/data/crew/README.md names the source. No schedule is better than proved."""
    gaps = []
    for line in (CREW / f"{name}.jsonl").read_bytes().splitlines()[::4]:
        published = json.loads(line)
        problem = parse_project(Fields.of(line, 1)).problem
        found = solve(problem, seed=1, stop=Iterations(60), prove=False)
        assert broken_rules(problem, found.schedule) == ()
        assert published["lb"] <= found.schedule.end
        assert found.bound <= published["best"]
        gaps.append(found.schedule.end / published["best"] - 1)
    assert sum(gaps) / len(gaps) < gap
