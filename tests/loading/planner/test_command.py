"""The planner's command line, run as people run it; it needs no Django."""

import json
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.loading.planner.scene import full_wall

ROOT = Path(__file__).parents[3]


def run(*args: str | Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "loading.planner", *map(str, args)]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


@pytest.fixture
def documents(tmp_path: Path) -> tuple[Path, Path]:
    """Files with a request and a sound plan of it."""
    scene = full_wall()
    request, plan = tmp_path / "request.json", tmp_path / "plan.json"
    request.write_text(json.dumps(scene.request), "utf-8")
    plan.write_text(json.dumps(scene.plan), "utf-8")
    return request, plan


def rewrite(path: Path, **changes: Any) -> None:
    path.write_text(json.dumps(json.loads(path.read_text("utf-8")) | changes), "utf-8")


class TestCheck:
    def test_a_sound_plan(self, documents: tuple[Path, Path]) -> None:
        done = run("check", *documents)
        assert (done.returncode, done.stderr) == (0, "")
        assert "space_use       0.6111" in done.stdout
        assert done.stdout.endswith("no rule broken\n")

    def test_broken_rules(self, documents: tuple[Path, Path]) -> None:
        rewrite(documents[1], left_off=[{"tag": "005", "reason": "too long"}])
        done = run("check", *documents)
        assert done.returncode == 1
        assert done.stdout.startswith("R1 005 appears 2 times\n")
        assert done.stdout.endswith("1 broken: R1 x1\n")

    def test_as_json(self, documents: tuple[Path, Path]) -> None:
        rewrite(documents[1], left_off=[{"tag": "005", "reason": "too long"}])
        done = run("check", *documents, "--json")
        assert done.returncode == 1
        found = json.loads(done.stdout)
        assert found["broken"] == [["R1", "005 appears 2 times"]]
        assert found["figures"]["loaded"] == 5

    def test_a_plan_of_another_request(self, documents: tuple[Path, Path]) -> None:
        rewrite(documents[1], request="another")
        done = run("check", *documents)
        assert done.returncode == 2
        assert "/request: is another, the request is scene" in done.stderr

    def test_every_fault_on_a_line_of_its_own(self, documents: tuple[Path, Path]) -> None:
        rewrite(documents[0], pad_mm="10 mm", pull_order=["V9"])
        rewrite(documents[1], steps=3)
        done = run("check", *documents)
        assert done.returncode == 2
        assert done.stderr.splitlines() == [
            f"{documents[0]}: /pad_mm: must be a number, not the text “10 mm”"
        ]


class TestBadFiles:
    @pytest.mark.parametrize(
        ("content", "message"),
        [
            (b"", "is not JSON: Expecting value (line 1, column 1)"),
            (b"[1, 2", "is not JSON"),
            (b'{"form": "\xff"}', "is not UTF-8 (byte 10)"),
            (b"[" * 100_000, "is nested too deeply"),
            (b"9" * 5_000, "is not JSON that can be read"),
            (b'{"form": NaN}', "/form: must be a text"),
            (b" " * (16 * 1024**2 + 1), "is larger than 16 MB"),
        ],
    )
    def test_what_is_no_document(self, tmp_path: Path, content: bytes, message: str) -> None:
        path = tmp_path / "request.json"
        path.write_bytes(content)
        done = run("plan", path, "--output", tmp_path / "plan.json")
        assert done.returncode == 2
        assert message in done.stderr
        assert "Traceback" not in done.stderr
        assert not (tmp_path / "plan.json").exists()

    def test_a_file_that_is_not_there(self, tmp_path: Path) -> None:
        done = run("check", tmp_path / "none.json", tmp_path / "none.json")
        assert done.returncode == 2
        assert "none.json: cannot be read: No such file" in done.stderr

    def test_a_place_where_no_plan_can_be_written(self, documents: tuple[Path, Path]) -> None:
        done = run("plan", documents[0], "--output", documents[0].parent / "none" / "plan.json")
        assert done.returncode == 2
        assert "cannot be written" in done.stderr


@pytest.mark.parametrize(
    "args",
    [
        [],
        ["dance"],
        ["plan", "request.json"],
        ["plan", "request.json", "--output", "plan.json", "--seconds", "soon"],
        ["plan", "request.json", "--output", "plan.json", "--seconds", "nan"],
        ["plan", "request.json", "--output", "plan.json", "--workers", "0"],
    ],
)
def test_arguments_that_make_no_sense(args: list[str]) -> None:
    done = run(*args)
    assert done.returncode == 2
    assert "usage:" in done.stderr


@pytest.mark.parametrize("command", ["plan", "check", "pack", "pull"])
def test_every_command_explains_itself(command: str) -> None:
    done = run(command, "--help")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith(f"usage: python -m loading.planner {command} ")


def test_it_runs_without_django() -> None:
    code = (
        "import sys; import loading.planner.__main__, loading.planner.checker;"
        "sys.exit(any(name.split('.')[0] == 'django' for name in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False).returncode == 0


def test_ctrl_c_ends_a_search_without_a_plan(documents: tuple[Path, Path], tmp_path: Path) -> None:
    output = tmp_path / "out.json"
    command = [sys.executable, "-m", "loading.planner", "plan", str(documents[0])]
    command += ["--output", str(output), "--seconds", "600", "--progress"]
    with subprocess.Popen(command, cwd=ROOT, stderr=subprocess.PIPE, text=True) as search:
        assert search.stderr is not None
        assert "%" in search.stderr.read(20)  # it has begun
        search.send_signal(signal.SIGINT)
        _, told = search.communicate()
    assert search.returncode == 130
    assert told.endswith("cancelled, no plan written\n")
    assert not output.exists()
