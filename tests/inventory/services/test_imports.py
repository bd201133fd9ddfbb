"""Importing lists: all or nothing, once, and into what stands in the branch."""

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from threading import Barrier

import pytest
from django.db import connection
from django.test import override_settings
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.errors import FileTooLargeError, ImportedElsewhereError, ImportRefusedError
from inventory.models import (
    Branch,
    ConditionNote,
    ImportBatch,
    Item,
    ItemKind,
    ItemTag,
    Lane,
    LoosePlace,
    Shipment,
    User,
    Vault,
)
from inventory.services import ImportOrder, inventory_import
from tests.inventory.lists.test_request_form import REQUEST

LIST = b"""\
tag,name,kind,length_in,width_in,height_in,weight_lb,vault,place,color,\
lane,vault_depth,vault_level,lane_depth,lane_levels
1,Oak desk,desk,60,30,30,140,V1,,,B07,1,1,2,3
2,couch,,,,,,V1,,,,,,,
3,granny's thingamajig,,,,,,,rack 1,red,,,,,
"""


def run(branch: Branch, now: datetime, data: bytes = LIST, **order: object) -> ImportBatch:
    told = {"reference": "SHP-9", "lot_number": "5512", "label_color": "Green"} | order
    batch, new = inventory_import(order=ImportOrder(branch, **told), data=data, now=now)
    assert new
    return batch


def faults(branch: Branch, now: datetime, data: bytes, **order: object) -> list[str]:
    before = counts()
    with pytest.raises(ImportRefusedError) as refusal:
        run(branch, now, data, **order)
    assert counts() == before
    return [str(fault) for fault in refusal.value.faults]


def counts() -> list[int]:
    tables = (Shipment, Lane, Vault, LoosePlace, Item, ItemTag, ImportBatch)
    return [table.objects.count() for table in tables]


def test_a_list_becomes_a_shipment(branch: Branch, now: datetime) -> None:
    batch = run(branch, now, filename="list.csv")
    assert (batch.form, batch.lines, batch.filename, batch.imported_at) == (
        *("csv", 3, "list.csv", now),
    )
    shipment = batch.shipment
    assert (shipment.reference, shipment.lot_number, shipment.label_color) == (
        *("SHP-9", "5512", "green"),
    )
    vault = Vault.objects.get()
    assert (vault.code, vault.lane.name, vault.lane.depth, vault.depth, vault.level) == (
        *("V1", "B07", 2, 1, 1),
    )
    desk, couch, thing = shipment.items.order_by("id")
    assert [str(item.current_tag) for item in (desk, couch, thing)] == [
        *("5512 green 001", "5512 green 002", "5512 red 003"),
    ]
    assert (couch.vault_position, desk.vault_position) == (1, 2)
    assert thing.loose_place is not None
    assert thing.loose_place.name == "rack 1"


def test_what_is_measured_and_what_is_typical(branch: Branch, now: datetime) -> None:
    run(branch, now)
    desk, couch, thing = Item.objects.order_by("id")
    assert desk.size_mm == (1524, 762, 762)
    assert (desk.size_from, desk.weight_from, desk.weight_g) == ("measured", "measured", 63_503)
    assert desk.openings == []
    assert couch.kind is not None
    assert couch.kind.code == "sofa-3-cushion"
    assert couch.size_mm == couch.kind.size_mm
    assert (couch.size_from, couch.weight_from) == ("kind", "kind")
    assert (couch.wrap, couch.pads, couch.postures) == (True, 4, ["standing", "on_end"])
    assert thing.kind is not None
    assert thing.kind.code == "unlisted-piece"


def test_unknown_kinds_are_listed_for_a_person(branch: Branch, now: datetime) -> None:
    batch = run(branch, now)
    assert batch.guesses == [
        {
            "row": 4,
            "tag": "003",
            "name": "granny's thingamajig",
            "kind": "unlisted-piece",
            "score": 0.0,
        }
    ]
    confirmed = list(Item.objects.order_by("id").values_list("kind_confirmed", flat=True))
    assert confirmed == [True, True, False]


def test_the_list_says_more_than_the_kind(branch: Branch, now: datetime) -> None:
    run(branch, now, b"tag,name,fragile,level,bears_kg\n1,desk,yes,base,0\n")
    desk = Item.objects.get()
    assert (desk.fragile, desk.level, desk.bears_g) == (True, "base", 0)


def test_the_same_file_twice_changes_nothing(branch: Branch, now: datetime) -> None:
    first = run(branch, now)
    before = counts()
    order = ImportOrder(branch, "SHP-9")
    assert inventory_import(order=order, data=LIST, now=now) == (first, False)
    assert counts() == before


def test_the_same_file_as_another_shipment(branch: Branch, now: datetime) -> None:
    run(branch, now)
    with pytest.raises(ImportedElsewhereError, match="SHP-9"):
        inventory_import(order=ImportOrder(branch, "SHP-10"), data=LIST, now=now)


def test_another_branch_may_have_the_same_file(branch: Branch, now: datetime) -> None:
    run(branch, now)
    assert run(Branch.objects.create(code="south", name="South"), now).shipment.pk


def test_a_load_request(branch: Branch, now: datetime) -> None:
    batch = run(branch, now, json.dumps(REQUEST).encode())
    assert (batch.form, batch.lines, batch.guesses) == ("json", 3, [])
    assert Vault.objects.get(code="X1").shipment is None
    vault = Vault.objects.get(code="V1")
    tags = [item.tag for item in vault.items.order_by("vault_position")]
    assert tags == ["002", "001"]
    stool = Item.objects.first()
    assert stool is not None
    assert (stool.kind.code, stool.bears_g, stool.openings) == (
        *("stool", 10_000, REQUEST["items"][0]["openings"]),
    )


def test_without_lot_and_color(branch: Branch, now: datetime) -> None:
    batch = run(branch, now, lot_number="", label_color="")
    tag = batch.shipment.items.order_by("id")[0].current_tag
    assert str(tag) == "SHP-9 white 001"


@pytest.mark.parametrize(
    ("order", "fault"),
    [
        ({"reference": " "}, "shipment: must not be empty"),
        ({"reference": "x" * 41}, "shipment: longer than 40 signs"),
        ({"lot_number": "\0"}, "lot: holds a sign that cannot be printed"),
        ({"label_color": "#123456"}, "color: a label colour is a word such as red"),
    ],
)
def test_words_beside_the_file(
    branch: Branch, now: datetime, order: dict[str, str], fault: str
) -> None:
    (found,) = faults(branch, now, LIST, **order)
    assert found.startswith(fault)


PLACED = "tag,name,vault,lane,vault_depth,vault_level,lane_depth,lane_levels"


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        ("1,a,V1,B1,1,1,,", "column lane: the branch has no lane B1; tell its lane_depth"),
        ("1,a,V1,A01,1,1,2,4", "column lane: lane A01 is 2 deep and 3 high, not 2 and 4"),
        ("1,a,V1,A01,3,1,,", "column vault: vault V1 lies outside lane A01"),
        ("1,a,V1,A01,1,4,,", "column vault: vault V1 lies outside lane A01"),
        ("1,a,V1,A01,1,3,,", "column vault: vault V1 stands in the air"),
        ("1,a,V1,A01,2,1,,", "column vault: vault V1 stands where vault OLD stands"),
        ("1,a,OLD,A01,1,1,,", "column vault: vault OLD stands in lane A01, depth 2, level 1"),
        ("1,a,HERS,,,,,", "column vault: vault HERS holds another shipment"),
        ("1,a,,,,,,\n1,a,,,,,,", "column tag: tag 001 is there twice"),
    ],
)
def test_places_that_cannot_be(
    branch: Branch, lane: Lane, shipment: Shipment, now: datetime, line: str, fault: str
) -> None:
    Vault.objects.create(branch=branch, code="OLD", lane=lane, depth=2, level=1)
    Vault.objects.create(branch=branch, code="HERS", shipment=shipment)
    (found,) = faults(branch, now, f"{PLACED}\n{line}\n".encode())
    assert fault in found


def test_a_vault_on_those_that_stand_there(branch: Branch, lane: Lane, now: datetime) -> None:
    Vault.objects.create(branch=branch, code="OLD", lane=lane, depth=2, level=1)
    run(branch, now, f"{PLACED}\n1,a,V1,A01,2,2,,\n".encode())
    assert Vault.objects.get(code="V1").level == 2


def test_a_vault_known_as_somebodys_is_claimed(branch: Branch, lane: Lane, now: datetime) -> None:
    Vault.objects.create(branch=branch, code="OLD", lane=lane, depth=2, level=1)
    batch = run(branch, now, b"tag,name,vault\n1,a,OLD\n")
    vault = Vault.objects.get(code="OLD")
    assert (vault.shipment, vault.lane) == (batch.shipment, lane)


def test_tags_that_are_on_other_pieces(branch: Branch, now: datetime) -> None:
    run(branch, now)
    found = faults(branch, now, b"tag,name\n1,a\n9,b\n2,c\n", reference="SHP-10")
    assert found == [
        "row 2, column tag: tag 5512 green 001 is on another piece already",
        "row 4, column tag: tag 5512 green 002 is on another piece already",
    ]


def test_a_second_list_of_the_shipment_adds_to_it(branch: Branch, now: datetime) -> None:
    first = run(branch, now)
    second = run(branch, now, b"tag,name\n4,lamp\n", lot_number="", label_color="")
    assert second.shipment == first.shipment
    assert str(Item.objects.get(name="lamp").current_tag) == "5512 green 004"
    assert len(faults(branch, now, b"tag,name,vault\n5,lamp,V1\n")) == 1


def test_a_kind_nobody_knows(branch: Branch, now: datetime) -> None:
    found = faults(branch, now, b"tag,name,kind\n1,a,desk\n2,b,flying carpet\n")
    assert found == ["row 3, column kind: no kind is called flying carpet"]


def test_too_large(branch: Branch, now: datetime) -> None:
    with override_settings(UPLOAD_LIMIT_BYTES=10), pytest.raises(FileTooLargeError) as refusal:
        run(branch, now)
    assert refusal.value.limit_bytes == 10
    assert not Shipment.objects.exists()


cells = st.one_of(
    st.text(max_size=12),
    st.sampled_from(["", "1", "2", "007", "-1", "0", "1e9", "V1", "V2", "A01", "desk", "red"]),
    st.integers(-3, 40_000).map(str),
)
COLUMNS = [
    *("kind", "vault", "position", "lane", "vault_depth", "vault_level", "lane_depth"),
    *("lane_levels", "lot", "color", "place", "stop", "set", "level", "wrap", "x"),
    *("length_in", "width_in", "height_in", "weight_lb", "bears_kg"),
]
columns = st.lists(st.sampled_from(COLUMNS), unique=True).map(lambda names: ["tag", "name", *names])


@st.composite
def csv_lists(draw: st.DrawFn) -> bytes:
    header = draw(columns)
    lines = [header, *draw(st.lists(st.lists(cells, max_size=len(header) + 1), max_size=6))]
    return "\n".join(",".join(line) for line in lines).encode("utf-8", "surrogatepass")


values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=6),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner),
    max_leaves=6,
)


@st.composite
def json_lists(draw: st.DrawFn) -> bytes:
    """A sound request in which a few values are others."""
    request = json.loads(json.dumps(REQUEST))
    for _ in range(draw(st.integers(0, 3))):
        inner = request
        while isinstance(inner, dict | list) and inner:
            keys = sorted(inner) if isinstance(inner, dict) else range(len(inner))
            key = draw(st.sampled_from(list(keys)))
            if not isinstance(inner[key], dict | list) or draw(st.booleans()):
                inner[key] = draw(values)
                break
            inner = inner[key]
    return json.dumps(request).encode()


@settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    derandomize=True,
)
@given(data=st.one_of(st.binary(max_size=300), csv_lists(), json_lists()))
def test_whatever_comes_is_stored_whole_or_refused(
    branch: Branch, now: datetime, data: bytes
) -> None:
    ImportBatch.objects.all().delete()
    before = counts()
    reference = f"SHP-{Shipment.objects.count()}"
    order = ImportOrder(branch, reference, lot_number=reference)
    try:
        batch, new = inventory_import(order=order, data=data, now=now)
    except ImportRefusedError:
        assert counts() == before
    else:
        connection.check_constraints()
        assert new
        assert batch.shipment.items.count() == batch.lines > 0
        assert batch.shipment.items.filter(tags__replaced_at=None).count() == batch.lines


def test_who_imported(branch: Branch, now: datetime) -> None:
    user = User.objects.create_user("office")
    assert run(branch, now, by=user).imported_by == user


def test_an_emptied_catalogue_comes_back(branch: Branch, now: datetime) -> None:
    ItemKind.objects.all().delete()
    assert run(branch, now).lines == 3


def test_the_same_file_from_two_places_at_once(transactional_db: None, now: datetime) -> None:
    branch = Branch.objects.create(code="north", name="North warehouse")
    together = Barrier(2)

    def send(_: int) -> tuple[int, bool]:
        try:
            together.wait(timeout=30)
            order = ImportOrder(branch, "SHP-9")
            batch, new = inventory_import(order=order, data=LIST, now=now)
            return batch.pk, new
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        (one, new), (two, also_new) = pool.map(send, range(2))
    assert one == two
    assert new is not also_new
    assert counts() == [1, 1, 1, 1, 3, 3, 1]


def test_a_list_tells_the_condition_when_received(branch: Branch, now: datetime) -> None:
    data = b"tag,name,condition\n1,couch,SC 4-8\n2,carton 3.0,\n"
    shipment = run(branch, now, data).shipment
    notes = ConditionNote.objects.filter(item__shipment=shipment)
    assert [(note.item.tag, note.moment, note.note) for note in notes] == [
        ("001", "received", "SC 4-8")
    ]
