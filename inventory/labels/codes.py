"""What the codes on labels say, and reading them back from a scanner, a camera or a keyboard.

    T.77900.BLUE.017.Q     a tag: lot number, label colour, item number, check character
    V.V-0123.6             a vault: its code, check character

Dots part the fields because keyboard-wedge scanners type a dot alike on every keyboard layout,
which they do not do for slashes and dashes. Signs that a QR or Code 128 symbol cannot hold
compactly are written as in an address (RFC 3986, "%2E"). A vault whose plate bears a GS1 number
has that number as its code (`gs1`).
"""

from dataclasses import dataclass
from typing import Literal
from urllib.parse import quote, unquote

from inventory.errors import CodeUnreadableError
from inventory.labels import gs1
from inventory.labels.check_character import check_character

LENGTH_MAX = 300
_PLAIN = "-"


@dataclass(frozen=True, slots=True)
class TagCode:
    """A whole tag. The colour is in small letters, as it is stored."""

    lot_number: str
    label_color: str
    number: str
    kind: Literal["tag"] = "tag"


@dataclass(frozen=True, slots=True)
class VaultCode:
    code: str
    kind: Literal["vault"] = "vault"


@dataclass(frozen=True, slots=True)
class TypedText:
    """What a person typed that is no whole code: a tag number or a vault code, unchecked."""

    said: str
    kind: Literal["typed"] = "typed"

    @property
    def tag_number(self) -> str | None:
        """The number as tags write it, of three digits or more; None where it is none."""
        is_number = self.said.isascii() and self.said.isdecimal() and len(self.said) <= 10
        return self.said.zfill(3) if is_number else None


ScannedCode = TagCode | VaultCode | TypedText


def tag_code(*, lot_number: str, label_color: str, number: str) -> str:
    """Give what stands in the symbol of a tag."""
    return _with_check("T", lot_number, label_color.upper(), number)


def vault_code(*, code: str) -> str:
    """Give what stands in the symbol on a vault."""
    return _with_check("V", code)


def parse_code(said: str) -> ScannedCode:
    """Read what a scanner gave or a person typed.

    Letters may be capital or small. A text without the form of a label's code is what somebody
    typed, and is given back as it is.

    Raises
    ------
    CodeUnreadableError : nothing, too long, or a label's code with a wrong check character.
    """
    text = said.strip()
    if not text or len(text) > LENGTH_MAX or not text.isprintable():
        raise CodeUnreadableError(text[:40], "form")
    try:
        number = gs1.asset_number(text)
    except ValueError as error:
        raise CodeUnreadableError(text, "check") from error
    if number is not None:
        return VaultCode(number)
    kind, *fields = text.split(".")
    if (kind.upper(), len(fields)) not in {("T", 4), ("V", 2)}:
        return TypedText(text)
    *fields, check = fields
    if not all(fields) or check_character(kind + "".join(fields)) != check.upper():
        raise CodeUnreadableError(text, "check")
    if kind.upper() == "V":
        return VaultCode(unquote(fields[0]))
    lot, color, number = (unquote(field) for field in fields)
    return TagCode(lot, color.lower(), number)


def _with_check(kind: str, *fields: str) -> str:
    written = [quote(field, safe=_PLAIN).replace(".", "%2E") for field in fields]
    return ".".join([kind, *written, check_character(kind + "".join(written))])
