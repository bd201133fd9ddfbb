"""Reading single cells and values: text, tags, whole numbers, lengths and weights.

Every function gives the value, or raises `ValueError` with a sentence for a person.
"""

import re
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

from django.utils.translation import gettext as _

MM_PER_UNIT = {"mm": Decimal(1), "cm": Decimal(10), "in": Decimal("25.4")}
G_PER_UNIT = {"kg": Decimal(1000), "lb": Decimal("453.59237")}
LONGEST_MM = 20_000
HEAVIEST_G = 5_000_000
LARGEST_WHOLE = 30_000

_NUMBER = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,12})?")
_COLOR = re.compile(r"[a-z]+( [a-z]+)*")


def text(value: str, longest: int) -> str:
    """Give one line of text without odd signs and outer blanks."""
    value = value.strip()
    if len(value) > longest:
        raise ValueError(_("longer than %(longest)s signs") % {"longest": longest})
    if not value.isprintable():
        raise ValueError(_("holds a sign that cannot be printed"))
    return value


def tag_number(value: str) -> str:
    """Give a tag's number. Spreadsheets drop leading zeros: 7 is tag 007."""
    if not re.fullmatch(r"[0-9]{1,10}", value):
        raise ValueError(
            _("a tag is a number such as 017, not %(value)s") % {"value": shown(value)}
        )
    return value.zfill(3)


def color(value: str) -> str:
    """Give a label colour: a word, or a few."""
    value = value.strip().lower()
    if not _COLOR.fullmatch(value) or len(value) > 20:
        raise ValueError(
            _("a label colour is a word such as red, not %(value)s") % {"value": shown(value)}
        )
    return value


def whole(value: str, least: int = 1) -> int:
    """Give a whole number of at least `least`."""
    number = _decimal(value)
    if number != number.to_integral_value() or not least <= number <= LARGEST_WHOLE:
        raise ValueError(
            _("want a whole number from %(least)s to %(LARGEST_WHOLE)s, not %(value)s")
            % {"least": least, "LARGEST_WHOLE": LARGEST_WHOLE, "value": value}
        )
    return int(number)


def length_mm(value: str, unit: str) -> int:
    """Give whole millimetres, rounded up: a piece must fit where it is planned."""
    return length_from(_decimal(value) * MM_PER_UNIT[unit], f"{value} {unit}")


def length_from(mm: Decimal, said: str) -> int:
    """Give whole millimetres of an exact length that lies in reason."""
    if mm <= 0:
        raise ValueError(_("a length is more than 0, not %(said)s") % {"said": said})
    if mm > LONGEST_MM:
        raise ValueError(_("%(said)s is longer than any household piece") % {"said": said})
    return int(mm.to_integral_value(ROUND_CEILING))


def weight_g(value: str, unit: str, *, least_g: int = 1) -> int:
    """Give whole grams."""
    return weight_from(_decimal(value) * G_PER_UNIT[unit], f"{value} {unit}", least_g)


def weight_from(exact_g: Decimal, said: str, least_g: int = 1) -> int:
    """Give whole grams of an exact weight that lies in reason."""
    grams = int(exact_g.to_integral_value(ROUND_HALF_UP))
    if grams < least_g:
        raise ValueError(_("a weight is more than 0, not %(said)s") % {"said": said})
    if grams > HEAVIEST_G:
        raise ValueError(_("%(said)s is heavier than any household piece") % {"said": said})
    return grams


def flag(value: str) -> bool:
    """Give yes or no."""
    word = value.lower()
    if word in ("yes", "y", "true", "1"):
        return True
    if word in ("no", "n", "false", "0"):
        return False
    raise ValueError(_("want yes or no, not %(value)s") % {"value": shown(value)})


def choice(value: str, allowed: tuple[str, ...]) -> str:
    """Give one of a few words."""
    if value.lower() not in allowed:
        raise ValueError(
            _("want one of %(allowed)s, not %(value)s")
            % {"allowed": ", ".join(allowed), "value": shown(value)}
        )
    return value.lower()


def shown(value: object) -> str:
    """Quote what was found, short enough for one line of a message."""
    said = ascii(value)
    return said if len(said) <= 40 else f"{said[:37]}..."


def _decimal(value: str) -> Decimal:
    if not _NUMBER.fullmatch(value):
        raise ValueError(_("want a number, not %(value)s") % {"value": shown(value)})
    return Decimal(value)
