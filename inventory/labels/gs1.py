"""Numbers under a company's own GS1 prefix, where its vault plates bear such: SSCC and GRAI.

Source: GS1 General Specifications: the check digit weighs the digits 3, 1, 3, ... from the right;
a serial shipping container code has 18 digits behind (00), a returnable asset's number 14 behind
(8003), with a zero in front, and a serial number behind. A scanner gives the parentheses, or the
symbology identifier "]C1" or "]d2" in their stead.
"""

import re

_WRITTEN = re.compile(
    r"(?:\(00\)|\](?:C1|d2)00)(?P<sscc>[0-9]{18})"
    r"|(?:\(8003\)|\](?:C1|d2)8003)(?P<grai>[0-9]{14})(?P<serial>[!-z]{0,16})"
)


def check_digit(digits: str) -> str:
    """The digit that belongs behind these."""
    total = sum(
        int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(digits))
    )
    return str(-total % 10)


def is_checked(number: str) -> bool:
    """Whether the last digit is the check digit of those before it."""
    return len(number) > 1 and number.isdecimal() and check_digit(number[:-1]) == number[-1]


def asset_number(said: str) -> str | None:
    """The number in a symbol of the standard, serial behind it; None for any other text.

    Raises
    ------
    ValueError : it has the form of such a number, but the wrong check digit.
    """
    found = _WRITTEN.fullmatch(said)
    if found is None:
        return None
    number = found["sscc"] or found["grai"]
    if not is_checked(number):
        raise ValueError(number)
    return number + (found["serial"] or "")
