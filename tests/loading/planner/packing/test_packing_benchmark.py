"""The benchmark: what is on file is not measured again, and no faulty packing gets a figure."""

from pathlib import Path

import pytest

from loading.planner.packing.checker import broken_rules
from loading.planner.packing.problem import BoxType, Instance
from tests.benchmarks import packing as benchmark
from tests.benchmarks._packing_peers import Rows, placed_by_packingsolver, placed_by_py3dbp

# Neither the long nor the short box may stand on end, so turning it is what the adapters get wrong.
INSTANCE = Instance(
    "BR5",
    99,
    (8, 6, 4),
    (BoxType((4, 3, 2), (False, False, True), 6), BoxType((2, 6, 3), (False, True, True), 3)),
)
FLOOR, OVERLAP = [0, 0, 0, 0, 4, 3, 2], [0, 3, 0, 0, 4, 3, 2]


def solver_giving(rows: Rows, asked: list[int]) -> benchmark.Solver:
    def place(instance: Instance) -> tuple[Rows, None]:
        asked.append(instance.number)
        return rows, None

    return benchmark.Solver("full", "A solver", "a-solver", full_support=True, place=place)


def test_what_is_on_file_is_not_measured_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(benchmark, "KEPT", tmp_path)
    asked: list[int] = []
    solver = solver_giving([FLOOR], asked)
    first = benchmark.kept_outcome(solver, INSTANCE)
    assert first.share == pytest.approx(24 / 192)
    assert benchmark.kept_outcome(solver, INSTANCE) == first
    assert asked == [99]


def test_a_faulty_packing_ends_the_run_and_leaves_nothing_on_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(benchmark, "KEPT", tmp_path)
    with pytest.raises(SystemExit, match="boxes 0 and 1 overlap"):
        benchmark.kept_outcome(solver_giving([FLOOR, OVERLAP], []), INSTANCE)
    assert list(tmp_path.iterdir()) == []


def test_without_measuring_only_what_is_on_file_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(benchmark, "KEPT", tmp_path)
    asked: list[int] = []
    solver = solver_giving([], asked)
    assert benchmark.outcomes_of(solver, range(3, 4), range(1, 3), measure=False) == {}
    benchmark.outcomes_of(solver, range(3, 4), range(2, 3), measure=True)
    assert list(benchmark.outcomes_of(solver, range(3, 4), range(1, 3), measure=False)) == [(3, 2)]
    assert asked == [2]


@pytest.mark.parametrize("placed", [placed_by_py3dbp, placed_by_packingsolver])
def test_what_the_libraries_place_is_brought_into_our_form(placed: object) -> None:
    assert callable(placed)
    rows = placed(INSTANCE, 0.2)
    assert broken_rules(INSTANCE, rows, full_support=False) == []


def test_py3dbp_does_place_boxes() -> None:
    assert placed_by_py3dbp(INSTANCE, 0.0)
