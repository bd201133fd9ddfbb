"""What a name on a list is taken for. The names are of the sort that people write."""

import pytest

from inventory.catalogue import UNLISTED, catalogue_kinds
from inventory.lists.kind_names import KindNames, name_words

NAMES = KindNames(
    [
        (name, str(kind["code"]))
        for kind in catalogue_kinds()
        for name in (kind["name"], *kind["words"])
    ],
    UNLISTED,
)


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("Dining Chair", "dining-chair"),
        ("chairs, dining", "dining-chair"),
        ("COUCH", "sofa-3-cushion"),
        ("Book Box", "carton-1-5"),
        ("box 1.5", "carton-1-5"),
        ("box 4.5", "carton-4-5"),
        ("washing machine", "washer"),
    ],
)
def test_a_known_name_is_sure(name: str, code: str) -> None:
    match = NAMES.match(name)
    assert (match.code, match.sure, match.score) == (code, True, 1.0)


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("oak dining chair", "dining-chair"),
        ("oak dining chair with arms", "dining-armchair"),
        ("leather couch", "sofa-3-cushion"),
        ("qeen matress", "mattress-carton-queen"),
        ("armoir", "armoire"),
        ("Persian rug", "rug-rolled"),
        ("4 drawer filing cab", "file-cabinet-4"),
        ("TV 55 inch", "television-carton"),
    ],
)
def test_other_words_and_misspellings_are_guesses(name: str, code: str) -> None:
    match = NAMES.match(name)
    assert (match.code, match.sure) == (code, False)
    assert 0.35 <= match.score <= 1


@pytest.mark.parametrize("name", ["asdfgh", "", "…", "42", "the of and"])
def test_a_name_that_says_nothing(name: str) -> None:
    match = NAMES.match(name)
    assert (match.code, match.score, match.sure) == (UNLISTED, 0.0, False)


def test_a_name_of_two_kinds_is_no_sure_one() -> None:
    names = KindNames([("chest", "a"), ("chest", "b"), ("box", "c")], "none")
    assert not names.match("chest").sure
    assert names.match("box").sure


def test_the_rarer_word_decides() -> None:
    names = KindNames([("red box", "r"), ("blue box", "b"), ("green box", "g")], "none")
    assert names.match("a box, blue").code == "b"


def test_plurals_and_case_go() -> None:
    assert name_words("Glasses, Boxes & the DRESS") == ["glass", "box", "dress"]
