import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loading.planner.pulls.instances import parse_instance
from loading.planner.pulls.replay import replay
from loading.planner.pulls.search import Relocation, solve
from loading.planner.pulls.stacks import Stacks, with_pulls
from loading.planner.stopping import Iterations
from tests.benchmarks._yards import filled
from tests.loading.planner.pulls.brute import fewest_moves
from tests.loading.planner.pulls.strategies import small_stacks

DATA = Path(__file__).parents[3] / "data" / "pulls"
ENOUGH = Iterations(200_000)


def lines(name: str, every: int) -> list[str]:
    return (DATA / name).read_text(encoding="utf-8").splitlines()[::every]


def assert_replays(stacks: Stacks, found: Relocation, *, restricted: bool) -> None:
    assert found.moves is not None
    judged = replay(stacks, with_pulls(stacks, found.moves), restricted=restricted)
    assert judged.faults == ()
    assert judged.moves == len(found.moves)


@pytest.mark.parametrize(
    ("file", "every", "key"),
    [
        ("brp_cvs.jsonl", 13, "opt_r"),
        ("brp_cvs.jsonl", 17, "opt_u"),
        ("brp_firmino4.jsonl", 7, "opt_r"),
        ("brp_firmino4.jsonl", 7, "opt_u"),
        ("brp_wh3.jsonl", 3, "opt_r"),
        ("brp_wh3.jsonl", 3, "opt_u"),
        ("brp_partial.jsonl", 1, "opt_r"),
    ],
)
def test_published_optima_are_neither_missed_nor_undercut(file: str, every: int, key: str) -> None:
    restricted = key == "opt_r"
    for number, line in enumerate(lines(file, every), 1):
        best = json.loads(line)[key]
        stacks = parse_instance(line, number).stacks
        found = solve(stacks, restricted=restricted, stop=ENOUGH)
        assert_replays(stacks, found, restricted=restricted)
        assert found.moves is not None
        assert found.bound <= best <= len(found.moves)
        assert found.proved == (len(found.moves) == found.bound)
        if found.proved:
            assert len(found.moves) == best


@pytest.mark.parametrize("tiers", ["3-3", "3-8", "4-7", "5-4"])
def test_small_classes_are_proved(tiers: str) -> None:
    for line in lines("brp_cvs.jsonl", 1):
        document = json.loads(line)
        if document["id"].startswith(f"cvs-{tiers}-"):
            for key in ("opt_r", "opt_u"):
                stacks = parse_instance(line, 1).stacks
                found = solve(stacks, restricted=key == "opt_r", stop=Iterations(2_000_000))
                assert (found.proved, len(found.moves or ())) == (True, document[key])


@settings(max_examples=150, deadline=None)
@given(stacks=small_stacks(), restricted=st.booleans())
def test_brute_force_agrees(stacks: Stacks, restricted: bool) -> None:
    best = fewest_moves(stacks, restricted=restricted)
    found = solve(stacks, restricted=restricted, stop=Iterations(20_000))
    if best is None:
        assert found.moves is None
        return
    assert_replays(stacks, found, restricted=restricted)
    assert (found.proved, found.bound, len(found.moves or ())) == (True, best, best)


@given(stacks=small_stacks(), limit=st.integers(0, 400))
@settings(max_examples=50, deadline=None)
def test_same_input_same_answer(stacks: Stacks, limit: int) -> None:
    first, second = (solve(stacks, restricted=False, stop=Iterations(limit)) for _ in range(2))
    assert first == second


def test_a_longer_run_is_never_worse() -> None:
    stacks = parse_instance(lines("brp_cvs.jsonl", 1)[-1], 1).stacks
    counts = [
        len(solve(stacks, restricted=True, stop=Iterations(limit)).moves or ())
        for limit in (0, 500, 5_000, 50_000)
    ]
    assert counts == sorted(counts, reverse=True)
    assert counts[-1] < counts[0]


def test_with_no_time_the_rule_answers() -> None:
    stacks = parse_instance(lines("brp_cvs.jsonl", 1)[-1], 1).stacks
    found = solve(stacks, restricted=True, stop=Iterations(0))
    assert_replays(stacks, found, restricted=True)
    assert not found.proved


def test_nothing_that_leaves_needs_no_moves() -> None:
    stacks = Stacks(((1, 1), ()), ((1, 2), ()), (2, 2), 1)
    assert solve(stacks, restricted=True, stop=ENOUGH) == Relocation((), 0, True)


def test_a_full_yard_has_no_way() -> None:
    stacks = Stacks.of_full([[0, 1], [2, 3]], [2, 2])
    found = solve(stacks, restricted=False, stop=Iterations(10_000))
    assert found.moves is None
    assert not found.proved


@pytest.mark.parametrize("seed", range(3))
def test_in_deep_lanes_the_wider_choice_is_no_worse(seed: int) -> None:
    """What a narrower search finds in the same time is a way for the wider one too."""
    yard = filled(20, 9, 0.8, seed)
    narrow, wide = (
        solve(yard, restricted=restricted, stop=Iterations(6_000)).moves
        for restricted in (True, False)
    )
    assert narrow is not None
    assert wide is not None
    assert len(wide) <= len(narrow)
