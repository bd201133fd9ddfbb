"""Typed reading of a parsed JSON document that gathers every fault instead of stopping at one.

A `Node` is a value with its JSON pointer. Its methods read one key, note a fault when the key is
missing or wrong, and then return a harmless value, so that reading goes on. Below a missing or
wrong object nothing more is noted. Whoever made the root raises at the end if there are faults.
"""

import math
from collections.abc import Iterator, Sequence
from decimal import ROUND_HALF_UP, Decimal

from loading.planner.errors import Fault, Said, said

LENGTH_MAX_MM = 100_000
WEIGHT_MAX_KG = 1_000_000
AREA_MAX_M2 = 100_000
COUNT_MAX = 1_000_000
TEXT_MAX = 500
FAULTS_MAX = 200

Three = tuple[int, int, int]


def described(value: object) -> Said | str:
    """The value as a person would name it in a message, short."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return said("the text “%(text)s”", text=value[:40] + ("…" if len(value) > 40 else ""))
    if isinstance(value, list):
        return said("a list of %(entries)s", entries=len(value))
    if isinstance(value, dict):
        return said("an object")
    if isinstance(value, int) and abs(value) > 10**20:
        return said("a number of more than 20 digits")
    return str(value)


class Faults:
    """Gathers faults; beyond a limit they are only counted."""

    def __init__(self) -> None:
        self._found: list[Fault] = []
        self._more = 0

    def add(self, pointer: str, fault: Said) -> None:
        if len(self._found) < FAULTS_MAX:
            self._found.append(Fault(pointer, fault))
        else:
            self._more += 1

    def __bool__(self) -> bool:
        return bool(self._found)

    def all(self) -> tuple[Fault, ...]:
        rest = (Fault("", said("%(faults)s more faults", faults=self._more)),) if self._more else ()
        return (*self._found, *rest)


class Node:
    """A value in the document: `value`, its `pointer`, and the shared list of `faults`."""

    __slots__ = ("faults", "pointer", "value")

    def __init__(self, value: object, pointer: str, faults: Faults) -> None:
        self.value, self.pointer, self.faults = value, pointer, faults

    @classmethod
    def root(cls, document: object, faults: Faults) -> "Node":
        node = cls(document, "", faults)
        return node._as_object()

    def fault(self, fault: Said, key: str | int | None = None) -> None:
        self.faults.add(self.path(key), fault)

    def path(self, key: str | int | None) -> str:
        if key is None:
            return self.pointer
        return f"{self.pointer}/{str(key).replace('~', '~0').replace('/', '~1')}"

    def has(self, key: str) -> bool:
        """Whether the key is there and not null."""
        return isinstance(self.value, dict) and self.value.get(key) is not None

    def text(self, key: str, *, default: str | None = None) -> str:
        value = self._get(key, default)
        return self._text(value, key) if value is not _ABSENT else ""

    def text_or_none(self, key: str, *, optional: bool = False) -> str | None:
        value = self._get(key, None, optional=optional)
        return None if value is None or value is _ABSENT else self._text(value, key)

    def choice(self, key: str, among: Sequence[str]) -> str:
        value = self._get(key)
        if value is _ABSENT:
            return among[0]
        if not isinstance(value, str) or value not in among:
            self.fault(not_among(among, described(value)), key)
            return among[0]
        return value

    def choice_or_none(self, key: str, among: Sequence[str]) -> str | None:
        value = self._get(key)
        if value is None or value is _ABSENT:
            return None
        return self.choice(key, among)

    def flag(self, key: str, *, default: bool | None = None) -> bool:
        value = self._get(key, default)
        if value is _ABSENT:
            return False
        if not isinstance(value, bool):
            self.fault(said("must be true or false, not %(value)s", value=described(value)), key)
            return False
        return value

    def whole(self, key: str, *, low: int = 0, high: int = COUNT_MAX) -> int:
        value = self._get(key)
        return low if value is _ABSENT else self._whole(value, key, low, high)

    def whole_or_none(self, key: str, *, low: int = 0, high: int = COUNT_MAX) -> int | None:
        value = self._get(key, None, optional=True)
        return None if value is None or value is _ABSENT else self._whole(value, key, low, high)

    def number(self, key: str, *, low: float = 0, high: float = COUNT_MAX) -> int | float:
        value = self._get(key)
        return low if value is _ABSENT else self._number(value, key, low, high)

    def grams(self, key: str, *, low: float = 0) -> int:
        """Kilograms in the document, whole grams in the result."""
        return scaled(self.number(key, low=low, high=WEIGHT_MAX_KG), 3)

    def square_mm(self, key: str) -> int:
        """Square metres in the document, whole square millimetres in the result."""
        return scaled(self.number(key, high=AREA_MAX_M2), 6)

    def three(self, key: str, *, low: int, high: int = LENGTH_MAX_MM) -> Three:
        """Three lengths in millimetres."""
        found = self._lengths(key, 3, low, high)
        return found[0], found[1], found[2]

    def two(self, key: str, *, low: int, high: int = LENGTH_MAX_MM) -> tuple[int, int]:
        found = self._lengths(key, 2, low, high)
        return found[0], found[1]

    def child(self, key: str) -> "Node":
        """The object under the key; an empty one if it is missing or no object."""
        value = self._get(key)
        node = Node(value, self.path(key), self.faults)
        return node if value is _ABSENT else node._as_object()

    def child_or_none(self, key: str, *, optional: bool = False) -> "Node | None":
        value = self._get(key, None, optional=optional)
        if value is None or value is _ABSENT:
            return None
        return Node(value, self.path(key), self.faults)._as_object()

    def keys(self) -> list[str]:
        return list(self.value) if isinstance(self.value, dict) else []

    def objects(self, key: str, *, most: int, optional: bool = False) -> "Iterator[Node]":
        """The objects in the list under the key; what is no object is noted and passed over."""
        for n, value in enumerate(self._list(key, most, optional=optional)):
            node = Node(value, f"{self.path(key)}/{n}", self.faults)._as_object()
            if node.value is not _ABSENT:
                yield node

    def texts(self, key: str, *, most: int) -> tuple[str, ...]:
        """The texts in the list under the key, in order; what is no text becomes an empty one."""
        values = self._list(key, most)
        return tuple(self._text(value, f"{key}/{n}", raw=True) for n, value in enumerate(values))

    def _list(self, key: str, most: int, *, optional: bool = False) -> list[object]:
        value = self._get(key, [] if optional else None, optional=optional)
        if value is _ABSENT:
            return []
        if not isinstance(value, list):
            self.fault(said("must be a list, not %(value)s", value=described(value)), key)
            return []
        if len(value) > most:
            fault = said(
                "must have at most %(most)s entries, not %(entries)s", most=most, entries=len(value)
            )
            self.fault(fault, key)
            return []
        return value

    def _lengths(self, key: str, count: int, low: int, high: int) -> list[int]:
        value = self._get(key)
        if value is _ABSENT:
            return [low] * count
        if not isinstance(value, list) or len(value) != count:
            fault = said(
                "must be a list of %(count)s lengths in mm, not %(value)s",
                count=count,
                value=described(value),
            )
            self.fault(fault, key)
            return [low] * count
        return [self._whole(v, f"{key}/{n}", low, high, raw=True) for n, v in enumerate(value)]

    def _as_object(self) -> "Node":
        if not isinstance(self.value, dict):
            self.fault(said("must be an object, not %(value)s", value=described(self.value)))
            return Node(_ABSENT, self.pointer, self.faults)
        return self

    def _get(self, key: str, default: object = None, *, optional: bool = False) -> object:
        if self.value is _ABSENT or not isinstance(self.value, dict):
            return _ABSENT
        if key in self.value:
            return self.value[key]
        if optional or default is not None:
            return default
        self.fault(said("is missing"), key)
        return _ABSENT

    def _text(self, value: object, key: str, *, raw: bool = False) -> str:
        if isinstance(value, str) and value.strip() and len(value) <= TEXT_MAX:
            return value
        wrong = described(value)
        if isinstance(value, str) and not value.strip():
            wrong = said("empty")
        if isinstance(value, str) and len(value) > TEXT_MAX:
            wrong = said("%(characters)s characters", characters=len(value))
        pointer = f"{self.pointer}/{key}" if raw else self.path(key)
        fault = said(
            "must be a text of 1 to %(most)s characters, not %(value)s", most=TEXT_MAX, value=wrong
        )
        self.faults.add(pointer, fault)
        return ""

    def _number(
        self, value: object, key: str, low: float, high: float, *, raw: bool = False
    ) -> int | float:
        pointer = f"{self.pointer}/{key}" if raw else self.path(key)
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.faults.add(
                pointer, said("must be a number, not %(value)s", value=described(value))
            )
            return low
        if not math.isfinite(value) if isinstance(value, float) else False:
            self.faults.add(pointer, said("must be a finite number"))
            return low
        if not low <= value <= high:
            fault = said(
                "must be from %(low)s to %(high)s, not %(value)s",
                low=low,
                high=high,
                value=described(value),
            )
            self.faults.add(pointer, fault)
            return low
        return value

    def _whole(self, value: object, key: str, low: int, high: int, *, raw: bool = False) -> int:
        number = self._number(value, key, low, high, raw=raw)
        if number != int(number):
            pointer = f"{self.pointer}/{key}" if raw else self.path(key)
            fault = said("must be a whole number, not %(value)s", value=described(value))
            self.faults.add(pointer, fault)
        return int(number)


_ABSENT: object = object()


def not_among(among: Sequence[str], value: Said | str) -> Said:
    """A value that is none of those that there are."""
    return said("must be one of %(among)s, not %(value)s", among=", ".join(among), value=value)


def scaled(value: int | float, digits: int) -> int:
    """The value times 10**digits, to the nearest whole, as it is written (15.2 is exactly 15.2)."""
    shifted = Decimal(str(value)).scaleb(digits)
    return int(shifted.to_integral_value(ROUND_HALF_UP))


def unscaled(value: int, digits: int) -> int | float:
    """The inverse of `scaled`: a whole number where it is one."""
    scale: int = 10**digits
    whole, rest = divmod(value, scale)
    return whole if rest == 0 else value / scale
