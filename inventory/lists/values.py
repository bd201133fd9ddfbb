"""Reading the values of a JSON document, each fault named by its JSON pointer (RFC 6901)."""

from collections.abc import Callable
from decimal import Decimal
from typing import TypeVar

from django.utils.translation import gettext as _

from inventory.errors import ImportFault
from inventory.lists import words
from inventory.lists.words import shown

T = TypeVar("T")


class Reader:
    """One object of the document. A value that is missing or faulty reads as None or empty."""

    def __init__(self, value: object, pointer: str, faults: list[ImportFault]) -> None:
        self._pointer = pointer
        self._faults = faults
        self._keys: dict[str, object] = value if isinstance(value, dict) else {}
        self.sound = isinstance(value, dict)
        if not self.sound:
            faults.append(
                ImportFault(
                    None, pointer, _("want an object, not %(value)s") % {"value": shown(value)}
                )
            )

    def pointer(self, key: str) -> str:
        return f"{self._pointer}/{key.replace('~', '~0').replace('/', '~1')}"

    def fault(self, key: str, message: str) -> None:
        self._faults.append(ImportFault(None, self.pointer(key), message))

    def value(self, key: str) -> object:
        return self._keys.get(key)

    def names(self) -> tuple[str, ...]:
        return tuple(self._keys)

    def nested(self, key: str, *, required: bool = True) -> "Reader | None":
        if key not in self._keys:
            if required and self.sound:
                self.fault(key, _("is missing"))
            return None
        return Reader(self._keys.get(key), self.pointer(key), self._faults)

    def objects(self, key: str, *, required: bool = True) -> list["Reader"]:
        entries = self._list(key, required=required)
        return [
            Reader(entry, f"{self.pointer(key)}/{index}", self._faults)
            for index, entry in enumerate(entries)
        ]

    def text(self, key: str, longest: int) -> str | None:
        return self._read(key, lambda value: _text(value, longest))

    def texts(self, key: str, longest: int) -> list[str]:
        return self._each(key, lambda value: _text(value, longest))

    def tag(self, key: str) -> str | None:
        return self._read(key, lambda value: words.tag_number(_text(value, 40)))

    def tags(self, key: str) -> list[str]:
        return self._each(key, lambda value: words.tag_number(_text(value, 40)))

    def whole(self, key: str, least: int = 1) -> int | None:
        return self._read(key, lambda value: _whole(value, least))

    def wholes(self, key: str, count: int, least: int = 1) -> list[int] | None:
        return self._counted(key, count, lambda value: _whole(value, least))

    def lengths(self, key: str, count: int) -> list[int] | None:
        return self._counted(key, count, _length)

    def weight(self, key: str, *, least_g: int = 1) -> int | None:
        return self._read(
            key,
            lambda value: words.weight_from(_number(value) * 1000, f"{value} kg", least_g),
        )

    def flag(self, key: str) -> bool:
        return bool(self._read(key, _flag))

    def choice(self, key: str, allowed: tuple[str, ...], default: str | None = None) -> str | None:
        if key not in self._keys and default is not None:
            return default
        return self._read(key, lambda value: _choice(value, allowed))

    def choices(self, key: str, allowed: tuple[str, ...]) -> list[str]:
        chosen = self._each(key, lambda value: _choice(value, allowed))
        if self._keys.get(key) == []:
            self.fault(key, _("want at least one of %(allowed)s") % {"allowed": ", ".join(allowed)})
        return chosen

    def _list(self, key: str, *, required: bool = True) -> list[object]:
        if key not in self._keys and (not required or not self.sound):
            return []
        value = self._keys.get(key)
        if isinstance(value, list):
            return value
        self.fault(
            key,
            _("want a list, not %(value)s") % {"value": shown(value)}
            if key in self._keys
            else _("is missing"),
        )
        return []

    def _each(self, key: str, reading: Callable[[object], T]) -> list[T]:
        read = []
        for index, value in enumerate(self._list(key)):
            try:
                read.append(reading(value))
            except ValueError as error:
                self._faults.append(ImportFault(None, f"{self.pointer(key)}/{index}", str(error)))
        return read

    def _counted(self, key: str, count: int, reading: Callable[[object], T]) -> list[T] | None:
        read = self._each(key, reading)
        value = self._keys.get(key)
        if isinstance(value, list) and len(value) != count:
            self.fault(key, _("want %(count)s numbers") % {"count": count})
        return read if len(read) == count else None

    def _read(self, key: str, reading: Callable[[object], T]) -> T | None:
        if not self.sound:
            return None
        if key not in self._keys:
            self.fault(key, _("is missing"))
            return None
        try:
            return reading(self._keys[key])
        except ValueError as error:
            self.fault(key, str(error))
            return None


def _text(value: object, longest: int) -> str:
    if not isinstance(value, str):
        raise ValueError(_("want text, not %(value)s") % {"value": shown(value)})
    told = words.text(value, longest)
    if not told:
        raise ValueError(_("must not be empty"))
    return told


def _number(value: object) -> Decimal:
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        raise ValueError(_("want a number, not %(value)s") % {"value": shown(value)})
    number = Decimal(value)
    if number.adjusted() > 12 or number.adjusted() < -12:
        raise ValueError(
            _("want a number in reason, not %(value)s") % {"value": shown(str(value)[:40])}
        )
    return number


def _whole(value: object, least: int) -> int:
    number = _number(value)
    if number != number.to_integral_value() or not least <= number <= words.LARGEST_WHOLE:
        raise ValueError(
            _("want a whole number from %(least)s to %(LARGEST_WHOLE)s, not %(value)s")
            % {"least": least, "LARGEST_WHOLE": words.LARGEST_WHOLE, "value": value}
        )
    return int(number)


def _length(value: object) -> int:
    if _number(value) != _number(value).to_integral_value():
        raise ValueError(_("want whole millimetres, not %(value)s") % {"value": value})
    return words.length_from(_number(value), f"{value} mm")


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueError(_("want true or false, not %(value)s") % {"value": shown(value)})
    return value


def _choice(value: object, allowed: tuple[str, ...]) -> str:
    if value not in allowed or not isinstance(value, str):
        raise ValueError(
            _("want one of %(allowed)s, not %(value)s")
            % {"allowed": ", ".join(allowed), "value": shown(value)}
        )
    return value
