import argparse
import json
from pathlib import Path

import pytest

from loading.planner.pulls import command
from loading.planner.pulls.errors import InstanceError
from loading.planner.pulls.instances import parse_instance
from loading.planner.pulls.replay import replay
from loading.planner.pulls.stacks import Stacks

DATA = Path(__file__).parents[3] / "data" / "pulls"


def arguments(instances: Path, output: Path, *more: str) -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    command.add_arguments(parser)
    return parser.parse_args([str(instances), "--seconds", "20", "--output", str(output), *more])


def test_numbers_become_turns() -> None:
    instance = parse_instance('{"id": "a", "stacks": [[7, 3], [], [9]], "hmax": 4}', 1)
    assert instance.stacks == Stacks(((1, 0), (), (2,)), ((1, 2), (), (1,)), (3, 3, 3), 3)


def test_a_highest_number_there_twice_stays() -> None:
    assert parse_instance('{"id": "a", "stacks": [[2, 1], [2]], "hmax": 2}', 1).stacks.leaving == 1


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("{", "line 3: is not JSON"),
        ("[" * 100_000, "line 3: is not JSON"),
        ("[]", "line 3: is not an object"),
        ('{"stacks": [[1]], "hmax": 2}', "line 3: id: is not a text"),
        ('{"id": "a", "stacks": [[1]], "hmax": 0}', "line 3: hmax: is not a whole number"),
        ('{"id": "a", "stacks": [[1]], "hmax": true}', "line 3: hmax: is not a whole number"),
        ('{"id": "a", "stacks": {}, "hmax": 1}', "line 3: stacks: is not a list of stacks"),
        ('{"id": "a", "stacks": [[1.5]], "hmax": 1}', "line 3: stacks/0: is not a list of whole"),
        ('{"id": "a", "stacks": [[], [1, 2]], "hmax": 1}', "line 3: stacks/1: holds more than 1"),
        ('{"id": "a", "stacks": [[]], "hmax": 1}', "line 3: stacks: holds nothing"),
        (json.dumps({"id": "a", "stacks": [[1]] * 600, "hmax": 1}), "line 3: stacks: is too large"),
    ],
)
def test_bad_lines_name_line_and_key(line: str, told: str) -> None:
    with pytest.raises(InstanceError) as caught:
        parse_instance(line, 3)
    assert str(caught.value).startswith(told)


@pytest.mark.parametrize("more", [(), ("--unrestricted",)])
def test_answers_replay(tmp_path: Path, more: tuple[str, ...]) -> None:
    lines = (DATA / "brp_cvs.jsonl").read_text(encoding="utf-8").splitlines()[:5]
    (tmp_path / "in.jsonl").write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert command.run(arguments(tmp_path / "in.jsonl", tmp_path / "out.jsonl", *more)) == 0
    answers = (tmp_path / "out.jsonl").read_text(encoding="utf-8").splitlines()
    for line, answer in zip(lines, map(json.loads, answers), strict=True):
        instance = parse_instance(line, 1)
        moves = [(source, target) for source, target in answer["moves"]]
        judged = replay(instance.stacks, moves, restricted=not more)
        assert (answer["id"], judged.faults) == (instance.name, ())
        assert answer["proved"]
        assert judged.moves == json.loads(line)["opt_u" if more else "opt_r"]


def test_stacks_as_high_as_one_likes_are_no_larger(tmp_path: Path) -> None:
    line = f'{{"id": "a", "stacks": [[1, 2], []], "hmax": {10**30}}}\n'
    (tmp_path / "in.jsonl").write_text(line, encoding="utf-8")
    assert command.run(arguments(tmp_path / "in.jsonl", tmp_path / "out.jsonl")) == 0
    answer = json.loads((tmp_path / "out.jsonl").read_text(encoding="utf-8"))
    assert answer == {"id": "a", "moves": [[0, 1], [0, -1], [1, -1]], "proved": True}


def test_where_there_is_no_way_that_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    line = '{"id": "full", "stacks": [[1, 2], [4, 3]], "hmax": 2}\n'
    (tmp_path / "in.jsonl").write_text(line, encoding="utf-8")
    assert command.run(arguments(tmp_path / "in.jsonl", tmp_path / "out.jsonl")) == 0
    answer = json.loads((tmp_path / "out.jsonl").read_text(encoding="utf-8"))
    assert answer == {"id": "full", "moves": [], "proved": False}
    assert capsys.readouterr().err == "pull: full: no way was found\n"


def test_bad_input_names_every_bad_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "in.jsonl").write_text('{"id": 1}\n\nnonsense\n', encoding="utf-8")
    assert command.run(arguments(tmp_path / "in.jsonl", tmp_path / "out.jsonl")) == 2
    told = capsys.readouterr().err.splitlines()
    assert [line.split(":")[1] for line in told] == [" line 1", " line 3"]
    assert not (tmp_path / "out.jsonl").exists()


def test_a_missing_file_is_bad_input(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert command.run(arguments(tmp_path / "none.jsonl", tmp_path / "out.jsonl")) == 2
    assert "none.jsonl" in capsys.readouterr().err


def test_a_file_that_is_no_text_is_bad_input(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "in.jsonl").write_bytes(b"\xff\xfe\n")
    assert command.run(arguments(tmp_path / "in.jsonl", tmp_path / "out.jsonl")) == 2
    assert "in.jsonl" in capsys.readouterr().err
    assert not (tmp_path / "out.jsonl").exists()


def test_a_text_may_hold_a_line_separator(tmp_path: Path) -> None:
    line = '{"id": "a\u2028b", "stacks": [[1]], "hmax": 1}\n'
    (tmp_path / "in.jsonl").write_text(line, encoding="utf-8")
    assert command.run(arguments(tmp_path / "in.jsonl", tmp_path / "out.jsonl")) == 0


@pytest.mark.parametrize("seconds", ["-1", "nan", "inf", "soon"])
def test_a_time_that_is_none_is_refused(
    tmp_path: Path, seconds: str, capsys: pytest.CaptureFixture[str]
) -> None:
    parser = argparse.ArgumentParser()
    command.add_arguments(parser)
    with pytest.raises(SystemExit) as caught:
        parser.parse_args(["in", f"--seconds={seconds}", "--output", str(tmp_path / "out")])
    assert caught.value.code == 2
    assert "--seconds" in capsys.readouterr().err
