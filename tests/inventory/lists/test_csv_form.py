"""Reading a CSV list: units, what is left out, and every fault with its row and column."""

import pytest

from inventory.errors import ImportFault, ImportRefusedError
from inventory.lists import ParsedList, parse_csv
from inventory.lists.parsed import FAULTS_LISTED, MAX_PIECES


def read(*lines: str) -> ParsedList:
    return parse_csv("\n".join(lines).encode())


def faults(*lines: str) -> list[tuple[int | None, str]]:
    return [(fault.row, fault.column) for fault in refused("\n".join(lines).encode())]


def refused(data: bytes) -> tuple[ImportFault, ...]:
    with pytest.raises(ImportRefusedError) as refusal:
        parse_csv(data)
    return refusal.value.faults


def test_only_tag_and_name_are_needed() -> None:
    (piece,) = read("tag,name", "7,Sofa").pieces
    assert (piece.number, piece.name, piece.where.row) == ("007", "Sofa", 2)
    assert (piece.size_mm, piece.weight_g, piece.vault, piece.told) == (None, None, None, {})


@pytest.mark.parametrize(
    ("header", "cells", "size_mm", "weight_g"),
    [
        ("length_mm,width_mm,height_mm,weight_kg", "400,300,250,12.5", (400, 300, 250), 12_500),
        ("length_cm,width_cm,height_cm,weight_kg", "40,30.5,25,0.1", (400, 305, 250), 100),
        # 1 in is 25.4 mm and 1 lb is 0.45359237 kg, exactly; sizes are rounded up.
        ("length_in,width_in,height_in,weight_lb", "10,16,12.625,10", (254, 407, 321), 4_536),
        ("length_in,width_cm,height_mm,weight_lb", "10,30,250,1", (254, 300, 250), 454),
    ],
)
def test_units_by_suffix(
    header: str, cells: str, size_mm: tuple[int, int, int], weight_g: int
) -> None:
    (piece,) = read(f"tag,name,{header}", f"001,box,{cells}").pieces
    assert piece.size_mm == size_mm
    assert piece.weight_g == weight_g


def test_order_of_columns_case_blanks_and_byte_order_mark() -> None:
    data = '\ufeff Name , TAG \r\n\r\n"sofa, blue", 12 \r\n'.encode()
    (piece,) = parse_csv(data).pieces
    assert (piece.name, piece.number, piece.where.row) == ("sofa, blue", "012", 3)


def test_what_else_a_line_may_tell() -> None:
    (piece,) = read(
        "tag,name,lot,color,stop,set,handling,level,wrap,fragile,last_on,bears_kg,place,kind",
        "001,box,77,Light Green,2,kitchen,upright,Top,yes,n,1,0,rack 3,desk",
    ).pieces
    assert (piece.lot_number, piece.label_color) == ("77", "light green")
    assert (piece.loose_place, piece.kind_name) == ("rack 3", "desk")
    assert piece.told == {
        "stop": 2,
        "set_name": "kitchen",
        "handling": "upright",
        "level": "top",
        "wrap": True,
        "fragile": False,
        "last_on": True,
        "bears_g": 0,
    }


def test_a_vault_is_told_once() -> None:
    parsed = read(
        "tag,name,vault,lane,vault_depth,vault_level,lane_depth,lane_levels,seal",
        "001,a,V1,,,,,,",
        "002,b,V1,A01,2,3,2,3,S-9",
    )
    (vault,) = parsed.vaults
    assert (vault.code, vault.place, vault.ours, vault.seal_number) == (
        *("V1", ("A01", 2, 3), True, "S-9"),
    )
    assert [(lane.name, lane.size) for lane in parsed.lanes] == [("A01", (2, 3))]


def test_a_line_without_a_piece_tells_of_another_vault() -> None:
    parsed = read("tag,name,vault,lane,vault_depth,vault_level", "001,a,,,,", ",,X9,A01,1,1")
    assert [(vault.code, vault.ours) for vault in parsed.vaults] == [("X9", False)]
    assert len(parsed.pieces) == 1


def test_the_last_line_of_a_vault_stands_at_its_door() -> None:
    parsed = read("tag,name,vault", "001,a,V1", "002,b,V1", "003,c,V2", "004,d,")
    assert [piece.vault_position for piece in parsed.pieces] == [2, 1, 1, None]


def test_positions_that_are_told_stand() -> None:
    parsed = read("tag,name,vault,position", "001,a,V1,5", "002,b,V1,1")
    assert [piece.vault_position for piece in parsed.pieces] == [5, 1]


@pytest.mark.parametrize(
    ("lines", "where"),
    [
        (["name", "sofa"], [(1, "tag")]),
        (["colour"], [(1, "tag"), (1, "name"), (1, "'colour'")]),
        (["tag,name,tag", "1,a,2"], [(1, "tag")]),
        (["tag,name,length_in,length_cm", "1,a,1,1"], [(1, "length_cm")]),
        (["tag,name", ",sofa", "2,"], [(2, "tag"), (3, "name")]),
        (["tag,name", "A1,a", "1.5,b", "-1,c"], [(2, "tag"), (3, "tag"), (4, "tag")]),
        (["tag,name", "1,a", "001,b"], [(3, "tag")]),
        (["tag,name,weight_kg", "1,a,heavy", "2,b,-3", "3,c,0", "4,d,NaN", "5,e,1e3"],
         [(row, "weight_kg") for row in range(2, 7)]),
        (["tag,name,weight_kg", "1,a,5001"], [(2, "weight_kg")]),
        (["tag,name,length_mm,width_mm,height_mm", "1,a,400,-300,0"],
         [(2, "width_mm"), (2, "height_mm")]),
        (["tag,name,length_mm,width_mm,height_mm", "1,a,400,300,", "2,b,20001,1,1"],
         [(2, "length"), (3, "length_mm")]),
        (["tag,name,stop", "1,a,0", "2,b,1.5"], [(2, "stop"), (3, "stop")]),
        (["tag,name,wrap,level", "1,a,maybe,roof"], [(2, "level"), (2, "wrap")]),
        (["tag,name,color", "1,a,#ff0000"], [(2, "color")]),
        (["tag,name,vault", "1,a,V1", "1,a,V2"], [(3, "tag")]),
        (["tag,name,vault,place", "1,a,V1,rack"], [(2, "place")]),
        (["tag,name,vault,position", "1,a,,1"], [(2, "position")]),
        (["tag,name,vault,position", "1,a,V1,1", "2,b,V1,1"], [(3, "tag")]),
        (["tag,name,vault,position", "1,a,V1,1", "2,b,V1,"], [(3, "position")]),
        (["tag,name,vault,lane,vault_depth,vault_level", "1,a,V1,A,1,1", "2,b,V1,A,2,1"],
         [(3, "vault")]),
        (["tag,name,vault,lane,vault_depth,vault_level", "1,a,V1,A,1,1", "2,b,V2,A,1,1"],
         [(3, "vault")]),
        (["tag,name,vault,lane,vault_depth,vault_level", "1,a,V1,A,1,"], [(2, "lane")]),
        (["tag,name,vault,lane,vault_depth,vault_level", "1,a,V1,A,0,1"], [(2, "vault_depth")]),
        (["tag,name,vault,lane,vault_depth,vault_level", "1,a,,A,1,1"],
         [(2, "lane"), (2, "vault_depth"), (2, "vault_level")]),
        (["tag,name,vault,lane,lane_depth,lane_levels", "1,a,V1,A,2,"],
         [(2, "lane_depth"), (2, "lane")]),
        (["tag,name,vault", ",,V1", "1,a,"], [(2, "vault")]),
        (["tag,name", "1,a,b"], [(2, "")]),
        (["tag,name"], [(None, "")]),
        ([""], [(None, "")]),
        (["tag,name", '1,"open'], [(None, "")]),
        (["tag,name", "1,bell\x07"], [(2, "name")]),
        (["tag,name", "1," + "x" * 101], [(2, "name")]),
    ],
)  # fmt: skip
def test_every_fault_is_named_by_row_and_column(
    lines: list[str], where: list[tuple[int | None, str]]
) -> None:
    assert faults(*lines) == where


def test_two_vaults_and_two_places_are_told_apart() -> None:
    (twice,) = refused(b"tag,name,vault\n1,a,V1\n1,a,V2")
    assert twice.message == "piece 001 is in two vaults, V1 and V2"
    header = b"tag,name,vault,lane,vault_depth,vault_level\n"
    (places,) = refused(header + b"1,a,V1,A,1,1\n2,b,V1,A,2,1")
    assert places.message == "vault V1 is in two places: row 2 tells another"


def test_not_utf8_names_the_row() -> None:
    (fault,) = refused("tag,name\n1,a\n2,Gerät".encode("latin-1"))
    assert (fault.row, "UTF-8" in fault.message) == (3, True)


def test_empty_file() -> None:
    (fault,) = refused(b"")
    assert fault.message == "the file is empty"


def test_a_flood_of_faults_is_counted() -> None:
    found = refused(("tag,name\n" + "x,a\n" * (FAULTS_LISTED + 7)).encode())
    assert len(found) == FAULTS_LISTED + 1
    assert found[-1].message == "and 7 more faults"


def test_more_lines_than_a_household_has() -> None:
    (fault,) = refused(("tag,name\n" + "1,a\n" * (MAX_PIECES + 1)).encode())
    assert str(MAX_PIECES) in fault.message


def test_a_comma_that_shifts_the_cells_is_told_once() -> None:
    told = "12 cells, but the header has 11: a comma within a cell needs quotes around the cell"
    header = (
        "tag,name,length_in,width_in,height_in,weight_lb,vault,lane,vault_depth,vault_level,place"
    )
    shifted = "022,lamp, table,,,,,V-9,A05,1,1,"
    assert refused(f"{header}\n{shifted}\n".encode()) == (ImportFault(2, "", told),)


def test_empty_cells_behind_the_last_column_are_no_fault() -> None:
    assert parse_csv(b"tag,name\n017,sofa,,\n").pieces[0].name == "sofa"
