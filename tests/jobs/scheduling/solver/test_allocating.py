"""Tasks to agents: brute force, and the optima of the OR-Library."""

import itertools
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.scheduling.solver.allocating import Allocation, allot
from loading.planner.stopping import Iterations

GAP = Path(__file__).parents[3] / "data" / "crew" / "gap.jsonl"
CMAX = GAP.with_name("cmax.jsonl")


def numbers(least: int, most: int, rows: int, columns: int) -> st.SearchStrategy[object]:
    row = st.tuples(*[st.integers(least, most)] * columns)
    return st.tuples(*[row] * rows)


@st.composite
def allocations(draw: st.DrawFn) -> Allocation:
    agents, tasks = draw(st.integers(1, 3)), draw(st.integers(1, 5))
    load = draw(numbers(0, 9, agents, tasks))
    capacity = draw(st.none() | st.tuples(*[st.integers(5, 20)] * agents))
    return Allocation(draw(numbers(-9, 9, agents, tasks)), load, capacity)


@given(allocations())
def test_small_ones_are_solved_to_their_optimum(problem: Allocation) -> None:
    ways = itertools.product(range(len(problem.load)), repeat=len(problem.load[0]))
    values = [problem.value(agents) for agents in ways if problem.fits(agents)]
    found = allot(problem, seed=1, stop=Iterations(100_000))
    assert found.proved
    if found.agents is None:
        assert not values
    else:
        assert problem.fits(found.agents)
        assert problem.value(found.agents) == min(values)


@pytest.mark.parametrize("sense", [-1, 1], ids=["greatest", "least"])
def test_published_ones_are_solved_to_their_optimum(sense: int) -> None:
    """OR-Library gap1-gap4; tests/data/crew/README.md names the source."""
    for line in GAP.read_text().splitlines()[:8]:
        published = json.loads(line)
        cost = tuple(tuple(sense * v for v in row) for row in published["profit_or_cost"])
        load = tuple(map(tuple, published["weight"]))
        problem = Allocation(cost, load, tuple(published["cap"]))
        found = allot(problem, seed=1, stop=Iterations(100_000))
        assert found.agents is not None
        assert problem.fits(found.agents)
        optimum = published["max_opt" if sense < 0 else "min_opt"]
        assert problem.value(found.agents) == sense * optimum


def test_the_same_seed_gives_the_same_answer() -> None:
    problem = Allocation(((0,) * 9,) * 3, (tuple(range(1, 10)),) * 3)
    one, other = (allot(problem, seed=3, stop=Iterations(2), prove=False) for _ in range(2))
    assert one == other
    assert one.agents is not None
    assert problem.value(one.agents) == 15


def test_the_last_ends_as_early_as_published_without_a_proof() -> None:
    """Generated jobs on unrelated machines; tests/data/crew/README.md names the source."""
    for line in CMAX.read_text().splitlines():
        published = json.loads(line)
        if published["id"] in {"rcrew-3-40-1", "rcrew-5-40-1", "rcrew-8-40-1"}:
            load = tuple(zip(*published["p"], strict=True))
            problem = Allocation(load, load)
            found = allot(problem, seed=1, stop=Iterations(60), prove=False)
            assert found.agents is not None
            assert published["lb"] <= problem.value(found.agents) <= published["best"]
            assert found.bound <= published["lb"]
