"""The codes are those of the published table (tests/data/road/condition_codes.csv)."""

import csv
from pathlib import Path

import pytest
from django.utils import translation

from inventory.condition import Mark, condition_marks, meanings
from inventory.condition_texts import TEXTS

PUBLISHED = Path(__file__).parents[1] / "data" / "road" / "condition_codes.csv"


def test_every_published_code_and_location_is_known() -> None:
    with PUBLISHED.open() as lines:
        rows = list(csv.DictReader(lines))
    for row in rows:
        assert meanings(row["kind"])[row["code"]] == row["meaning"]
    assert sum(row["kind"] == "exception" for row in rows) == 25
    assert sum(row["kind"] == "location" for row in rows) == 19


@pytest.mark.parametrize(
    ("note", "marks"),
    [
        ("SC", (Mark("SC"),)),
        ("SC 4", (Mark("SC", (4,)),)),
        ("SC 4-8, D 2", (Mark("SC", (4, 8)), Mark("D", (2,)))),
        ("BR4/7;MCU", (Mark("BR", (4, 7)), Mark("MCU"))),
        (" Z 12 10 ", (Mark("Z", (12, 10)),)),
    ],
)
def test_marks_are_read_as_people_write_them(note: str, marks: tuple[Mark, ...]) -> None:
    assert condition_marks(note) == marks


@pytest.mark.parametrize("note", ["", "scratched", "SC 44", "QQ 1", "SC 4, leg is off", "4 SC"])
def test_plain_words_are_no_marks(note: str) -> None:
    assert condition_marks(note) is None


def test_a_mark_says_what_it_means() -> None:
    mark = Mark("SC", (4, 8))
    assert (mark.meaning, mark.places) == ("scratched", ("front", "right"))
    with translation.override("es"):
        assert (mark.meaning, mark.places) == ("rayado", ("frente", "derecha"))


def test_who_packed_it_is_a_mark_too() -> None:
    assert condition_marks("PBO, SC 4") == (Mark("PBO"), Mark("SC", (4,)))
    assert Mark("PBO").meaning == "packed by owner"


def test_every_meaning_is_found_by_the_search_for_texts() -> None:
    kinds = ("exception", "descriptive", "location")
    assert {str(text) for text in TEXTS} == {
        meaning for kind in kinds for meaning in meanings(kind).values()
    }
