"""Codes on labels: outside check values, every code read back, wrong signs noticed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.errors import CodeUnreadableError
from inventory.labels.check_character import ALPHABET, check_character
from inventory.labels.codes import (
    TagCode,
    TypedText,
    VaultCode,
    parse_code,
    tag_code,
    vault_code,
)

words = st.text(st.characters(codec="utf-8", categories=("L", "N", "P")), min_size=1, max_size=12)
colors = st.from_regex(r"[a-z]{1,8}( [a-z]{1,8})?", fullmatch=True)
numbers = st.from_regex(r"[0-9]{3,6}", fullmatch=True)


@pytest.mark.parametrize(
    ("said", "check"),
    [
        # The example of the GRid Standard (IFPI), A1-2425G-ABC1234002-M; from memory.
        ("A1-2425G-ABC1234002", "M"),
        # The example of an ISAN with both check characters (ISO 15706), from memory:
        # ISAN 0000-0000-D07A-0090-Q-0000-0000-X.
        ("0000-0000-D07A-0090", "Q"),
        ("0000-0000-D07A-0090-0000-0000", "X"),
    ],
)
def test_published_identifiers_end_in_our_check_character(said, check):
    assert check_character(said) == check


def test_every_wrong_sign_is_noticed():
    right = "T77900BLUE017"
    check = check_character(right)
    for place in range(len(right)):
        for sign in ALPHABET.replace(right[place], ""):
            assert check_character(right[:place] + sign + right[place + 1 :]) != check


def test_a_tag_reads_as_the_trade_writes_it():
    said = tag_code(lot_number="77900", label_color="blue", number="017")
    assert said == f"T.77900.BLUE.017.{check_character('T77900BLUE017')}"
    assert parse_code(said) == TagCode("77900", "blue", "017")


@given(words, colors, numbers)
def test_any_tag_is_read_back(lot, color, number):
    said = tag_code(lot_number=lot, label_color=color, number=number)
    assert parse_code(said) == TagCode(lot, color, number)
    assert said.isascii()


@given(words)
def test_any_vault_is_read_back(code):
    assert parse_code(vault_code(code=code)) == VaultCode(code)


def test_small_letters_and_spaces_around_are_read_alike():
    said = vault_code(code="V-0123")
    assert parse_code(f"  {said.lower()}\n").kind == "vault"


def test_a_mistyped_code_is_refused():
    said = tag_code(lot_number="77900", label_color="blue", number="017")
    with pytest.raises(CodeUnreadableError) as refusal:
        parse_code(said.replace("017", "071"))
    assert refusal.value.fault == "check"


@pytest.mark.parametrize("said", ["", "   ", "x" * 301, "0\x0017"])
def test_what_can_be_no_code_is_refused(said):
    with pytest.raises(CodeUnreadableError) as refusal:
        parse_code(said)
    assert refusal.value.fault == "form"


@pytest.mark.parametrize(
    ("said", "number"), [("17", "017"), ("1234", "1234"), ("V-0123", None), ("٣", None)]
)
def test_typing_always_works(said, number):
    assert parse_code(said) == TypedText(said)
    assert TypedText(said).tag_number == number
