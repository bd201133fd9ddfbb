"""The import on the command line: what it says, and how it ends."""

from collections.abc import Callable
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

from inventory.models import Branch, Shipment

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(branch: Branch) -> Run:
    def command(path: Path, **options: str) -> tuple[int, str, str]:
        out, err = StringIO(), StringIO()
        told = {"branch": "north", "shipment": "SHP-9"} | options
        try:
            call_command("inventory_import", path, **told, stdout=out, stderr=err)
        except SystemExit as end:
            return int(str(end.code)), out.getvalue(), err.getvalue()
        return 0, out.getvalue(), err.getvalue()

    return command


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "list.csv"


def test_a_good_list(run: Run, path: Path) -> None:
    path.write_text("tag,name\n1,sofa\n2,strange thing\n")
    code, out, err = run(path, lot="77", color="red")
    assert (code, err) == (0, "")
    assert out.splitlines() == [
        "shipment SHP-9: 2 pieces imported",
        "row 3, tag 002: strange thing taken for unlisted-piece; please confirm",
    ]
    assert Shipment.objects.get().lot_number == "77"
    assert run(path)[:2] == (0, "already imported as shipment SHP-9\n")


def test_what_may_not_ride_is_told_with_what_to_do(run: Run, path: Path) -> None:
    path.write_text("tag,name\n1,sofa\n2,gas can\n")
    code, out, _err = run(path, lot="77", color="red")
    assert code == 0
    assert out.splitlines()[-1] == (
        "tag 002, gas can, look: fuel. Do not load. Set it aside outdoors and call the office."
    )


def test_every_fault_on_its_own_line(run: Run, path: Path) -> None:
    path.write_text("tag,name,weight_kg\nx,sofa,1\n2,,heavy\n")
    code, out, err = run(path)
    assert (code, out) == (2, "")
    assert err.splitlines() == [
        "row 2, column tag: a tag is a number such as 017, not 'x'",
        "row 3, column name: must not be empty",
        "row 3, column weight_kg: want a number, not 'heavy'",
    ]
    assert not Shipment.objects.exists()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"name\nsofa\n", "row 1, column tag: this column is missing\n"),
        ("tag,name\n1,Gerät\n".encode("latin-1"), "row 2: not UTF-8"),
        (b"tag,name\n", "the list holds no piece\n"),
        (b"", "the file is empty\n"),
        (b"x" * 50_000_000, "the file is larger than 5000000 bytes\n"),
        (b'{"form": "load-request/1"}', "/lanes: is missing\n"),
    ],
    ids=["column", "encoding", "no piece", "empty", "50 MB", "JSON"],
)
def test_bad_input_ends_with_2(run: Run, path: Path, data: bytes, said: str) -> None:
    path.write_bytes(data)
    code, out, err = run(path)
    assert (code, out) == (2, "")
    assert err.startswith(said)
    assert not Shipment.objects.exists()


def test_no_such_file_or_branch(run: Run, path: Path) -> None:
    assert run(path)[::2] == (2, f"{path}: No such file or directory\n")
    path.write_text("tag,name\n1,sofa\n")
    assert run(path, branch="west")[::2] == (2, "there is no branch west\n")
