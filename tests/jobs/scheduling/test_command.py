"""The command line: answers in the benchmark's form, and faults named by line and key."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from jobs.scheduling.__main__ import main

PROJECT = {
    "id": "tiny",
    "n": 3,
    "cap": [1],
    "dur": [0, 4, 3],
    "req": [[0], [1], [1]],
    "succ": [[1, 2], [], []],
}
SHARING = {
    "id": "two",
    "m": 2,
    "n": 2,
    "profit_or_cost": [[1, 5], [2, 9]],
    "weight": [[1, 1], [1, 1]],
    "cap": [1, 1],
}


def ran(tmp_path: Path, lines: list[object], *arguments: str) -> tuple[int, list[object]]:
    source, output = tmp_path / "in.jsonl", tmp_path / "out.jsonl"
    source.write_text("".join(f"{json.dumps(line)}\n" for line in lines))
    command, *options = arguments
    status = main([command, str(source), "--seconds", "2", "--output", str(output), *options])
    answers = output.read_text().splitlines() if output.exists() else []
    return status, [json.loads(line) for line in answers]


def test_a_project_gets_its_starts(tmp_path: Path) -> None:
    status, answers = ran(tmp_path, [PROJECT], "rcpsp")
    assert status == 0
    assert answers in ([{"id": "tiny", "starts": s}] for s in ([0, 0, 4], [0, 3, 0]))


@pytest.mark.parametrize(("options", "agents"), [((), [0, 1]), (("--minimise",), [1, 0])])
def test_tasks_get_their_agents(tmp_path: Path, options: tuple[str, ...], agents: object) -> None:
    assert ran(tmp_path, [SHARING], "assign", *options) == (0, [{"id": "two", "agents": agents}])


def test_jobs_go_to_machines(tmp_path: Path) -> None:
    alike = {"id": "P", "m": 2, "n": 3, "p": [2, 2, 4]}
    unlike = {"id": "R", "m": 2, "n": 2, "p": [[1, 9], [9, 1]]}
    status, answers = ran(tmp_path, [alike, unlike], "assign")
    assert status == 0
    first, second = [answer["agents"] for answer in answers]  # type: ignore[index]
    assert first[0] == first[1] != first[2]
    assert second == [0, 1]


def test_what_fits_nowhere_has_no_agents(tmp_path: Path) -> None:
    assert ran(tmp_path, [SHARING | {"cap": [0, 1]}], "assign")[1] == [
        {"id": "two", "agents": None}
    ]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"id": None}, "line 2: id: must be a text"),
        ({"n": 0}, "line 2: n: must be a whole number from 1"),
        ({"cap": "1"}, "line 2: cap: must be a list"),
        ({"dur": [0, 4]}, "line 2: dur: must be a list of 3 whole numbers"),
        ({"dur": [0, -4, 3]}, "line 2: dur[1]: must be a whole number"),
        ({"dur": [0, True, 3]}, "line 2: dur[1]: must be a whole number"),
        ({"req": [[0], [2], [1]]}, "line 2: req[1][0]: is more than 1"),
        ({"succ": [[1, 7], [], []]}, "line 2: succ[0][1]: is no other activity"),
        ({"succ": [[1], [2], [0]]}, "line 2: succ: activity"),
    ],
)
def test_a_fault_is_told_by_line_and_key(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], change: dict[str, object], said: str
) -> None:
    assert ran(tmp_path, [PROJECT, PROJECT | change], "rcpsp") == (2, [])
    assert capsys.readouterr().err.startswith(said)


def test_all_faults_are_told_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert ran(tmp_path, ["x", SHARING | {"cap": [1]}, SHARING], "assign") == (2, [])
    assert capsys.readouterr().err.splitlines() == [
        "line 1: line: is no JSON object",
        "line 2: cap: must be a list of 2 whole numbers",
    ]


def test_a_file_that_is_not_there_is_bad_input(tmp_path: Path) -> None:
    absent = str(tmp_path / "absent.jsonl")
    assert main(["rcpsp", absent, "--seconds", "1", "--output", str(tmp_path / "o")]) == 2


def test_it_runs_without_a_framework(tmp_path: Path) -> None:
    seen = (
        "import sys; from jobs.scheduling.__main__ import main; "
        f"main(['rcpsp', '{tmp_path}/absent', '--seconds', '1', '--output', '{tmp_path}/o']); "
        "sys.exit('django' in sys.modules)"
    )
    ran = subprocess.run([sys.executable, "-c", seen], capture_output=True, check=False)
    assert ran.returncode == 0
