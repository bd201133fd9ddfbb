"""Reading a load request as a list: what is taken from it, and every fault by its pointer."""

import copy
import json
from typing import Any

import pytest

from inventory.errors import ImportRefusedError
from inventory.lists import parse_request

REQUEST: dict[str, Any] = {
    "form": "load-request/1",
    "lanes": {"depth": 2, "levels": 3, "names": ["A01", "aisle"], "of": {"aisle": [1, 1]}},
    "vaults": [{"code": "V1", "lane": "A01", "depth": 1, "level": 1, "items": ["002", "001"]}],
    "other_vaults": [{"code": "X1", "lane": "A01", "depth": 2, "level": 1}],
    "progress": None,
    "items": [
        {
            "tag": tag,
            "name": "stool",
            "size_mm": [400, 410, 720],
            "weight_kg": 6.1,
            "postures": ["standing", "on_end"],
            "wrap": True,
            "bears_kg": 10,
            "level": None,
            "fragile": False,
            "carton": False,
            "soft": False,
            "openings": [{"at_mm": [60, 60, 0], "size_mm": [280, 290, 600]}],
            "stop": 1,
            "set": None,
            "last_on": False,
        }
        for tag in ("001", "002", "003")
    ],
}


def test_places_pieces_and_vaults() -> None:
    parsed = parse_request(json.dumps(REQUEST).encode())
    assert [(lane.name, lane.size) for lane in parsed.lanes] == [
        ("A01", (2, 3)),
        ("aisle", (1, 1)),
    ]
    assert [(vault.code, vault.place, vault.ours) for vault in parsed.vaults] == [
        ("V1", ("A01", 1, 1), True),
        ("X1", ("A01", 2, 1), False),
    ]
    places = [(piece.number, piece.vault, piece.vault_position) for piece in parsed.pieces]
    assert places == [("001", "V1", 2), ("002", "V1", 1), ("003", None, None)]
    first = parsed.pieces[0]
    assert (first.size_mm, first.weight_g) == ((400, 410, 720), 6_100)
    assert first.told["bears_g"] == 10_000
    assert first.told["postures"] == ["standing", "on_end"]
    assert first.told["openings"] == REQUEST["items"][0]["openings"]
    assert first.told["size_from"] == "measured"


@pytest.mark.parametrize(
    ("path", "value", "pointer"),
    [
        (["form"], "load-plan/1", "/form"),
        (["progress"], {"steps": []}, "/progress"),
        (["lanes"], [], "/lanes"),
        (["lanes", "depth"], 0, "/lanes/depth"),
        (["lanes", "names"], ["A01", "aisle", "A01"], "/lanes/names"),
        (["lanes", "of"], {"B": [1, 1]}, "/lanes/of"),
        (["lanes", "of"], {"aisle": [1]}, "/lanes/of/aisle"),
        (["vaults"], {}, "/vaults"),
        (["vaults", 0], 7, "/vaults/0"),
        (["vaults", 0, "level"], "1", "/vaults/0/level"),
        (["vaults", 0, "items"], ["001", "001"], "/vaults/0/items"),
        (["vaults", 0, "items"], ["004"], "/vaults"),
        (["vaults", 0, "items", 1], 1, "/vaults/0/items/1"),
        (["other_vaults", 0, "lane"], None, "/other_vaults/0/lane"),
        (["items", 1, "tag"], "002a", "/items/1/tag"),
        (["items", 1, "name"], "", "/items/1/name"),
        (["items", 1, "name"], "\ud800", "/items/1/name"),
        (["items", 1, "size_mm"], [1, 2], "/items/1/size_mm"),
        (["items", 1, "size_mm", 2], -720, "/items/1/size_mm/2"),
        (["items", 1, "size_mm", 2], 72.5, "/items/1/size_mm/2"),
        (["items", 1, "weight_kg"], "heavy", "/items/1/weight_kg"),
        (["items", 1, "weight_kg"], True, "/items/1/weight_kg"),
        (["items", 1, "weight_kg"], 1e300, "/items/1/weight_kg"),
        (["items", 1, "postures"], [], "/items/1/postures"),
        (["items", 1, "postures"], ["upside"], "/items/1/postures/0"),
        (["items", 1, "level"], "roof", "/items/1/level"),
        (["items", 1, "wrap"], 1, "/items/1/wrap"),
        (["items", 1, "stop"], 0, "/items/1/stop"),
        (["items", 1, "openings", 0, "at_mm"], [0, 0], "/items/1/openings/0/at_mm"),
    ],
)
def test_a_fault_is_named_by_its_pointer(path: list[str | int], value: Any, pointer: str) -> None:
    request: Any = copy.deepcopy(REQUEST)
    inner = request
    for key in path[:-1]:
        inner = inner[key]
    inner[path[-1]] = value
    with pytest.raises(ImportRefusedError) as refusal:
        parse_request(json.dumps(request).encode())
    assert [fault.column for fault in refusal.value.faults] == [pointer]


def test_an_empty_shipment() -> None:
    vaults = [{**REQUEST["vaults"][0], "items": []}]
    with pytest.raises(ImportRefusedError, match="holds no piece"):
        parse_request(json.dumps(REQUEST | {"vaults": vaults, "items": []}).encode())


def test_a_piece_in_two_vaults() -> None:
    request = copy.deepcopy(REQUEST)
    request["vaults"].append(
        {"code": "V2", "lane": "A01", "depth": 1, "level": 2, "items": ["001"]}
    )
    with pytest.raises(ImportRefusedError, match="piece 001 is in vault V1 and in vault V2"):
        parse_request(json.dumps(request).encode())


@pytest.mark.parametrize("key", ["lanes", "vaults", "items", "form"])
def test_a_missing_key(key: str) -> None:
    request = {name: value for name, value in REQUEST.items() if name != key}
    with pytest.raises(ImportRefusedError) as refusal:
        parse_request(json.dumps(request).encode())
    assert (f"/{key}", "is missing") in {
        (fault.column, fault.message) for fault in refusal.value.faults
    }


@pytest.mark.parametrize(
    "data",
    [
        b"{",
        b"{} {}",
        b"[" * 100_000,
        b'{"form": NaN}',
        b'{"form": 1' + b"0" * 5000 + b"}",
        b'{"form": "\xff"}',
        b"[]",
        b"{}",
    ],
)
def test_no_document_at_all(data: bytes) -> None:
    with pytest.raises(ImportRefusedError):
        parse_request(data)
