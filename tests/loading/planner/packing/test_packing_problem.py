"""Instances are validated once; a bad file is refused naming line and key."""

import gzip
import json
from pathlib import Path
from typing import Any

import pytest

from loading.planner.__main__ import main
from loading.planner.packing.problem import BoxType, Instance, InstanceError

GOOD: dict[str, Any] = {
    "set": "tiny",
    "instance": 1,
    "container": [8, 6, 4],
    "boxes": [{"l": 4, "w": 3, "h": 2, "vertical": [0, 1, 1], "count": 3}],
}


def box_with(**changes: object) -> dict[str, Any]:
    return {**GOOD, "boxes": [{**GOOD["boxes"][0], **changes}]}


def test_reading() -> None:
    instance = Instance.of(GOOD)
    assert instance.boxes == (BoxType((4, 3, 2), (False, True, True), 3),)
    assert instance.volume == 192


def test_orientations_follow_the_allowed_upright_edges() -> None:
    assert set(BoxType((4, 3, 2), (False, True, True), 1).orientations()) == {
        (4, 2, 3),
        (2, 4, 3),
        (4, 3, 2),
        (3, 4, 2),
    }
    assert BoxType((2, 2, 2), (True, True, True), 1).orientations() == ((2, 2, 2),)


@pytest.mark.parametrize(
    ("document", "key"),
    [
        ([], "instance"),
        ({**GOOD, "set": 3}, "set"),
        ({**GOOD, "instance": "1"}, "instance"),
        ({**GOOD, "container": [8, 6]}, "container"),
        ({**GOOD, "container": [8, 0, 4]}, "container[1]"),
        ({**GOOD, "boxes": []}, "boxes"),
        ({**GOOD, "boxes": [7]}, "boxes[0]"),
        (box_with(w=-3), "boxes[0].w"),
        (box_with(h=1.5), "boxes[0].h"),
        (box_with(l=True), "boxes[0].l"),
        (box_with(l=1 << 20), "boxes[0].l"),
        (box_with(vertical=[0, 0, 0]), "boxes[0].vertical"),
        (box_with(vertical=[0, 2, 1]), "boxes[0].vertical"),
        (box_with(count=-1), "boxes[0].count"),
        (box_with(count=2001), "boxes"),
    ],
)
def test_a_bad_value_is_named(document: object, key: str) -> None:
    with pytest.raises(InstanceError) as caught:
        Instance.of(document)
    assert caught.value.key == key


def test_the_largest_values_are_taken() -> None:
    assert Instance.of(box_with(count=2000)).boxes[0].count == 2000
    assert Instance.of(box_with(l=(1 << 20) - 1)).boxes[0].size[0] == 1_048_575
    assert Instance.of(box_with(count=0)).boxes[0].count == 0


def test_the_command_names_line_and_key_and_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source, output = tmp_path / "bad.jsonl.gz", tmp_path / "out.jsonl"
    source.write_bytes(gzip.compress(f"{json.dumps(GOOD)}\n{json.dumps(box_with(w=0))}\n".encode()))
    assert main(["pack", str(source), "--support", "full", "--output", str(output)]) == 2
    assert "line 2: boxes[0].w" in capsys.readouterr().err
    assert not output.exists()


@pytest.mark.parametrize("packed", [None, b"{]", b"\xff"])
def test_a_file_that_is_no_instance_file(
    packed: bytes | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = tmp_path / "bad.jsonl.gz"
    source.write_bytes(b"not gzip" if packed is None else gzip.compress(packed))
    argv = ["pack", str(source), "--support", "none", "--output", str(tmp_path / "out")]
    assert main(argv) == 2
    assert str(source) in capsys.readouterr().err
