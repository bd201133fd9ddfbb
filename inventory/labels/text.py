"""What the standard fonts of every PDF reader can show (Windows-1252, as PDF names it)."""

import unicodedata
from xml.sax.saxutils import escape

_ENCODING = "cp1252"
_INSTEAD = {
    "\u2190": "<-",
    "\u2192": "->",
    "\u2212": "-",
    "\u2044": "/",
    "\u202f": " ",
    "\u0141": "L",
    "\u0142": "l",
}


def printable(text: str) -> str:
    """Give the text with every sign that the fonts lack written plainly, others as "?"."""
    return "".join(_sign(sign) for sign in text)


def marked(text: object) -> str:
    """Give a text for a paragraph, where `<` would begin a command."""
    return escape(printable(str(text)))


def _sign(sign: str) -> str:
    if not sign.isprintable() and sign not in "\n":
        return ""
    sign = _INSTEAD.get(sign, sign)
    if _is_known(sign):
        return sign
    plain = "".join(c for c in unicodedata.normalize("NFKD", sign) if not unicodedata.combining(c))
    return plain if plain and _is_known(plain) else "?"


def _is_known(text: str) -> bool:
    try:
        text.encode(_ENCODING)
    except UnicodeEncodeError:
        return False
    return True
