"""Reading load requests: every fault is named by its key, and all of them at once."""

import copy
import json
import math
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loading.planner.errors import RequestError
from loading.planner.request import LoadRequest, parse_request, request_document

DATA = Path(__file__).parents[2] / "data" / "planner"
DOCUMENT: dict[str, Any] = json.loads((DATA / "two-rooms.json").read_text("utf-8"))

Change = Callable[[dict[str, Any]], object]


def faults_after(change: Change) -> dict[str, str]:
    """Pointer to message of the faults in the document once it is changed."""
    document = copy.deepcopy(DOCUMENT)
    change(document)
    with pytest.raises(RequestError) as caught:
        parse_request(document)
    return {fault.pointer: fault.message for fault in caught.value.faults}


def at(document: Any, pointer: str) -> tuple[Any, Any]:
    """The container that holds what a JSON pointer names, and its key there."""
    *path, last = pointer.strip("/").split("/")
    for key in path:
        document = document[int(key) if isinstance(document, list) else key]
    return document, int(last) if isinstance(document, list) else last


def put(pointer: str, value: object) -> Change:
    def change(document: dict[str, Any]) -> None:
        container, key = at(document, pointer)
        container[key] = value

    return change


def drop(pointer: str) -> Change:
    def change(document: dict[str, Any]) -> None:
        container, key = at(document, pointer)
        del container[key]

    return change


def test_units_are_whole_millimetres_grams_and_square_millimetres() -> None:
    request = parse_request(DOCUMENT)
    assert request.truck.payload_g == 1_400_000
    assert request.truck.supports[1].tare_g == 1_600_500
    assert request.item("001").weight_g == 38_400
    assert request.dock.floor_mm2 == 12_500_000


def test_what_a_request_answers() -> None:
    request = parse_request(DOCUMENT)
    assert request.vault_of("002") == "K11"
    assert request.vault_of("006") is None
    assert request.as_loaded_mm(request.item("001")) == (1524, 924, 764)
    assert request.as_loaded_mm(request.item("002")) == (420, 320, 320)
    assert [(lane.name, lane.depth, lane.levels) for lane in request.lanes] == [
        ("N1", 2, 3),
        ("N2", 2, 3),
        ("aisle", 1, 1),
    ]
    with pytest.raises(KeyError):
        request.item("999")


def test_defaults() -> None:
    item = parse_request(DOCUMENT).item("002")
    assert (item.leaves, item.size_from, item.handling) == (True, "measured", None)
    assert (item.pads, item.storage_pads) == (None, None)


def test_the_document_comes_back_as_it_was() -> None:
    assert request_document(parse_request(DOCUMENT)) == DOCUMENT


def test_a_request_can_be_sent_to_another_process() -> None:
    request = parse_request(DOCUMENT)
    assert pickle.loads(pickle.dumps(request)) == request


def test_unknown_keys_are_passed_over() -> None:
    document = copy.deepcopy(DOCUMENT)
    document["remark"] = document["items"][0]["colour"] = "blue"
    assert request_document(parse_request(document)) == DOCUMENT


def test_whole_numbers_may_be_written_as_decimals() -> None:
    document = copy.deepcopy(DOCUMENT)
    document["items"][0]["size_mm"] = [1500.0, 900.0, 740.0]
    assert parse_request(document).item("001").size_mm == (1500, 900, 740)


REQUIRED = [
    *(f"/{key}" for key in DOCUMENT),
    *(f"/truck/{key}" for key in DOCUMENT["truck"] if key != "pads"),
    *(f"/truck/supports/0/{key}" for key in DOCUMENT["truck"]["supports"][0]),
    *(f"/truck/blocked/0/{key}" for key in DOCUMENT["truck"]["blocked"][0]),
    "/trip/distance_km",
    *(f"/dock/{key}" for key in DOCUMENT["dock"]),
    *(f"/lanes/{key}" for key in DOCUMENT["lanes"] if key != "of"),
    *(f"/vaults/0/{key}" for key in DOCUMENT["vaults"][0]),
    *(f"/other_vaults/1/{key}" for key in DOCUMENT["other_vaults"][1]),
    *(f"/items/1/{key}" for key in DOCUMENT["items"][1]),
    *(f"/items/0/openings/0/{key}" for key in DOCUMENT["items"][0]["openings"][0]),
    *(f"/progress/{key}" for key in DOCUMENT["progress"]),
    *(f"/progress/steps/2/{key}" for key in DOCUMENT["progress"]["steps"][2]),
    *(
        f"/progress/placements/0/{key}"
        for key in DOCUMENT["progress"]["placements"][0]
        if key != "inside"
    ),
    *(f"/progress/fills/0/{key}" for key in DOCUMENT["progress"]["fills"][0]),
]


@pytest.mark.parametrize("pointer", REQUIRED)
def test_a_missing_key_is_named(pointer: str) -> None:
    assert faults_after(drop(pointer)) == {pointer: "is missing"}


@pytest.mark.parametrize(
    ("pointer", "value", "message"),
    [
        ("/form", "load-request/2", "must be load-request/1"),
        ("/request", "", "must be a text of 1 to 500 characters, not empty"),
        ("/request", "x" * 501, "must be a text of 1 to 500 characters, not 501 characters"),
        ("/truck", [], "must be an object, not a list of 0"),
        ("/truck/ride", "water", "must be one of spring, air, not the text “water”"),
        ("/truck/interior_mm", [1, 2], "must be a list of 3 lengths in mm, not a list of 2"),
        ("/truck/interior_mm/1", 0, "must be from 1 to 100000, not 0"),
        ("/truck/payload_kg", 0, "must be more than 0: the truck may carry nothing"),
        ("/truck/supports/1/x_mm", -1200, "both supports are at the same place"),
        ("/dock/floor_m2", "18", "must be a number, not the text “18”"),
        ("/dock/vault_spots", True, "must be a number, not true"),
        ("/lanes/depth", 0, "must be from 1 to 100, not 0"),
        ("/lanes/of", {"N1": [1]}, None),
        ("/items/0/size_mm/2", -740, "must be from 1 to 100000, not -740"),
        ("/items/0/size_mm/0", "1500 mm", "must be a number, not the text “1500 mm”"),
        ("/items/0/size_mm/0", 1500.5, "must be a whole number, not 1500.5"),
        ("/items/0/size_mm/0", 10**30, "must be from 1 to 100000, not a number of more than"),
        ("/items/0/weight_kg", None, "must be a number, not null"),
        ("/items/0/weight_kg", math.nan, "must be a finite number"),
        ("/items/0/weight_kg", math.inf, "must be a finite number"),
        ("/items/0/bears_kg", -0.1, "must be from 0 to 1000000, not -0.1"),
        ("/items/0/wrap", "yes", "must be true or false, not the text “yes”"),
        ("/items/0/wrap", 1, "must be true or false, not 1"),
        ("/items/0/level", "roof", "must be one of base, middle, top, not the text “roof”"),
        ("/items/0/postures", [], "must name at least one of standing, on_side, on_end"),
        ("/items/0/postures/1", "upside_down", "must be one of standing, on_side, on_end, not"),
        ("/items/0/postures/1", "standing", "standing is named twice"),
        ("/items/0/stop", 0, "must be from 1 to 1000, not 0"),
        ("/items/3/size_from", "guess", "must be one of measured, kind, not the text “guess”"),
        ("/items/3/pads", "two", "must be a number, not the text “two”"),
        ("/items", [], None),
        ("/items/4", "005", "must be an object, not the text “005”"),
        ("/progress/steps/0/do", "shake", "must be one of move, pull, unpack, fetch, load, fill"),
        ("/progress/placements/0/posture", "leaning", "must be one of standing, on_side, on_end"),
    ],
)
def test_a_value_of_the_wrong_kind_is_named(
    pointer: str, value: object, message: str | None
) -> None:
    faults = faults_after(put(pointer, value))
    if message is None:  # the fault is named further down, or at what refers to it
        assert any(found.startswith(pointer) for found in faults)
    else:
        assert list(faults) == [pointer]
        assert faults[pointer].startswith(message)


@pytest.mark.parametrize(
    ("change", "pointer", "message"),
    [
        (put("/items/1/tag", "001"), "/items/1/tag", "tag 001 is that of /items/0 too"),
        (put("/vaults/0/items/0", "999"), "/vaults/0/items/0", "there is no item 999"),
        (put("/vaults/1/items/0", "001"), "/vaults/1/items/0", "item 001 is in vault K11 too"),
        (put("/vaults/1/items/1", "005"), "/vaults/1/items/1", "item 005 is in vault K12 too"),
        (put("/other_vaults/0/code", "K11"), "/other_vaults/0/code", "K11 stands at /vaults/0 too"),
        (put("/other_vaults/0/depth", 2), "/other_vaults/0", "stands where the vault of /vaults/0"),
        (put("/other_vaults/0/lane", "Z"), "/other_vaults/0/lane", "there is no lane Z"),
        (put("/other_vaults/0/lane", "aisle"), None, None),
        (put("/vaults/0/depth", 3), "/vaults/0/depth", "lane N1 is 2 deep, not 3"),
        (put("/vaults/1/level", 4), "/vaults/1/level", "lane N2 is 3 high, not 4"),
        (put("/other_vaults/1/level", 3), "/vaults/1/level", "level 2 with nothing below it"),
        (put("/lanes/names/1", "N1"), "/lanes/names/1", "lane N1 is named twice"),
        (put("/lanes/of/Z", [1, 1]), "/lanes/of/Z", "is no lane in names"),
        (put("/pull_order/0", "K99"), "/pull_order/0", "there is no vault K99 in this shipment"),
        (put("/pull_order/1", "K12"), "/pull_order/1", "vault K12 is named twice"),
        (put("/pull_order", ["K12"]), "/pull_order", "vault K11 is missing"),
        (put("/truck/blocked/0/at_mm", [-1, 0, 0]), None, None),
        (
            put("/items/0/openings/0/at_mm", [201, 100, 0]),
            "/items/0/openings/0",
            "reaches beyond the outline of 001",
        ),
        (put("/progress/steps/1/tag", "999"), "/progress/steps/1/tag", "there is no item 999"),
        (
            put("/progress/placements/0/tag", "999"),
            "/progress/placements/0/tag",
            "there is no item 999",
        ),
        (
            put("/progress/placements/0/inside", "999"),
            "/progress/placements/0/inside",
            "there is no item 999",
        ),
        (
            put("/progress/steps/1", {"do": "pull", "vault": "K99"}),
            "/progress/steps/1/vault",
            "there is no vault K99",
        ),
        (
            put("/progress/steps/0", {"do": "move", "vault": "Q70", "lane": "Z"}),
            "/progress/steps/0/lane",
            "there is no lane Z",
        ),
        (
            put("/progress/placements", []),
            "/progress/placements",
            "item 006 is loaded by the steps, but has no place",
        ),
        (
            put("/progress/fills", []),
            "/progress/fills",
            "fill 1 is put in by the steps, but has no place",
        ),
        (
            drop("/progress/steps/2"),
            "/progress/steps",
            "fill 1 has a place, but no step puts it in",
        ),
    ],
)
def test_a_contradiction_is_named(change: Change, pointer: str | None, message: str) -> None:
    if pointer is None:
        document = copy.deepcopy(DOCUMENT)
        change(document)
        assert isinstance(parse_request(document), LoadRequest)
        return
    faults = faults_after(change)
    assert message in faults[pointer]


def test_a_vault_that_stays_need_not_be_in_the_pull_order() -> None:
    document = copy.deepcopy(DOCUMENT)
    document["items"][3]["leaves"] = False
    document["pull_order"] = ["K11"]
    assert parse_request(document).pull_order == ("K11",)


def test_a_truck_that_a_blocked_box_fills_has_no_room() -> None:
    whole = {"name": "rack", "at_mm": [0, 0, 0], "size_mm": [4200, 2000, 2100]}
    faults = faults_after(put("/truck/blocked/0", whole))
    assert faults == {"/truck/blocked/0": "rack leaves no room in the truck"}


def test_an_empty_shipment() -> None:
    def change(document: dict[str, Any]) -> None:
        document.update(items=[], vaults=[], pull_order=None, progress=None)

    assert faults_after(change) == {"/items": "is empty: there is nothing to load"}


def test_a_shipment_of_which_nothing_leaves() -> None:
    def change(document: dict[str, Any]) -> None:
        document["progress"] = None
        for item in document["items"]:
            item["leaves"] = False

    assert faults_after(change) == {"/items": "no piece leaves: there is nothing to load"}


def test_a_piece_larger_than_the_door_is_no_fault_of_the_request() -> None:
    document = copy.deepcopy(DOCUMENT)
    document["items"][1]["size_mm"] = [3000, 3000, 3000]
    assert parse_request(document).item("002").size_mm == (3000, 3000, 3000)


def test_all_faults_at_once() -> None:
    def change(document: dict[str, Any]) -> None:
        del document["pad_mm"]
        document["items"][2]["weight_kg"] = "9 kg"
        document["items"][3]["size_mm"] = [900, -60]

    assert list(faults_after(change)) == ["/pad_mm", "/items/2/weight_kg", "/items/3/size_mm"]


def test_a_huge_list_is_refused_before_it_is_read() -> None:
    faults = faults_after(put("/items", [{}] * 5001))
    assert faults == {"/items": "must have at most 5000 entries, not 5001"}


def test_faults_beyond_two_hundred_are_counted() -> None:
    document = copy.deepcopy(DOCUMENT)
    document["items"] = [{} for _ in range(100)]
    with pytest.raises(RequestError) as caught:
        parse_request(document)
    assert len(caught.value.faults) == 201
    assert caught.value.faults[-1].message == "1300 more faults"


@pytest.mark.parametrize("document", [None, [], "text", 3, True, {}])
def test_what_is_no_request_at_all(document: object) -> None:
    with pytest.raises(RequestError):
        parse_request(document)


def test_a_key_with_a_slash_is_escaped_in_its_pointer() -> None:
    faults = faults_after(put("/lanes/of", {"N~1/2": [1, 1]}))
    assert "/lanes/of/N~01~12" in faults


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The path of every value in a document."""
    found = [path] if path else []
    entries: dict[Any, Any] = value if isinstance(value, dict) else {}
    if isinstance(value, list):
        entries = dict(enumerate(value))
    for key, part in entries.items():
        found += places(part, (*path, key))
    return found


PLACES = places(DOCUMENT)
ANYTHING = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=5),
    st.lists(st.integers(), max_size=3),
    st.dictionaries(st.text(max_size=3), st.integers(), max_size=2),
    st.sampled_from(["001", "K11", "Q70", "N1", "standing", "base", "load"]),
    st.sampled_from([0, 1, 2, 3, -1]),
)


@given(st.lists(st.tuples(st.sampled_from(PLACES), st.none() | st.just("drop"), ANYTHING)))
def test_a_changed_document_gives_a_request_or_named_faults(
    changes: list[tuple[tuple[Any, ...], str | None, Any]],
) -> None:
    document = copy.deepcopy(DOCUMENT)
    for path, drops, value in changes:
        container: Any = document
        try:
            for key in path[:-1]:
                container = container[key]
            if drops:
                del container[path[-1]]
            else:
                container[path[-1]] = value
        except (KeyError, IndexError, TypeError):
            continue  # an earlier change took that place away
    try:
        request = parse_request(document)
    except RequestError:
        return
    assert parse_request(request_document(request)) == request
