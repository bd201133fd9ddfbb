"""Numbers of the GS1 system: vectors of its syntax dictionary, plates as scanners give them."""

import pytest

from inventory.errors import CodeUnreadableError
from inventory.labels.codes import TypedText, VaultCode, parse_code
from inventory.labels.gs1 import is_checked

# Source of both lists: GS1 syntax dictionary, the tests of its check digit linter.
RIGHT = [
    "02345673",
    "416000336108",
    "1234567890128",
    "12345678901231",
    "123456789012345675",
]
WRONG = [
    "12345673",
    "416000336109",
    "1234567890129",
    "12345678901232",
    "123456789012345670",
]


@pytest.mark.parametrize("number", RIGHT)
def test_right_check_digits(number: str) -> None:
    assert is_checked(number)


@pytest.mark.parametrize("number", WRONG)
def test_wrong_check_digits(number: str) -> None:
    assert not is_checked(number)


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("(00)123456789012345675", "123456789012345675"),
        ("]C100123456789012345675", "123456789012345675"),
        ("(8003)12345678901231V-7", "12345678901231V-7"),
    ],
)
def test_a_plate_with_such_a_number_is_a_vault(said: str, code: str) -> None:
    assert parse_code(said) == VaultCode(code)


def test_a_wrong_check_digit_is_noticed() -> None:
    with pytest.raises(CodeUnreadableError) as caught:
        parse_code("(00)123456789012345670")
    assert caught.value.fault == "check"


def test_digits_alone_are_what_somebody_typed() -> None:
    assert parse_code("123456789012345675") == TypedText("123456789012345675")
