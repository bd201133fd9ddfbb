"""One line of a CSV list: its cells by column, and what is wrong with them."""

from collections.abc import Callable
from functools import partial
from typing import TypeVar

from django.utils.translation import gettext as _

from inventory.errors import ImportFault
from inventory.lists import words
from inventory.lists.parsed import Where
from inventory.lists.words import G_PER_UNIT, MM_PER_UNIT

T = TypeVar("T")


class Row:
    """The cells of one line. A cell that is empty or faulty reads as None."""

    def __init__(self, number: int, header: list[str], cells: list[str]) -> None:
        self.number = number
        self._cells = {
            name: cell.strip() for name, cell in zip(header, cells, strict=False) if cell.strip()
        }
        self._faults: list[ImportFault] = []
        self._sizes = len(cells), len(header)
        self._spills = any(cell.strip() for cell in cells[len(header) :])

    @property
    def faults(self) -> list[ImportFault]:
        """What is wrong with the line. Where a comma shifted its cells, that says it all."""
        cells, columns = self._sizes
        if not self._spills and (cells <= columns or not self._faults):
            return self._faults
        told = _(
            "%(cells)s cells, but the header has %(header)s: a comma within a cell needs quotes "
            "around the cell"
        )
        return [ImportFault(self.number, "", told % {"cells": cells, "header": columns})]

    def where(self, column: str) -> Where:
        return Where(self.number, column)

    def fault(self, column: str, message: str) -> None:
        """Note a fault, once for each cell."""
        fault = ImportFault(self.number, column, message)
        if fault not in self._faults:
            self._faults.append(fault)

    def has(self, column: str) -> bool:
        return column in self._cells

    def has_measure(self, measure: str) -> bool:
        return any(name.startswith(f"{measure}_") for name in self._cells)

    def text(self, column: str, longest: int) -> str | None:
        return self._read(column, lambda cell: words.text(cell, longest))

    def tag(self, column: str) -> str | None:
        return self._read(column, words.tag_number)

    def color(self, column: str) -> str | None:
        return self._read(column, words.color)

    def whole(self, column: str) -> int | None:
        return self._read(column, words.whole)

    def flag(self, column: str) -> bool | None:
        return self._read(column, words.flag)

    def choice(self, column: str, allowed: tuple[str, ...]) -> str | None:
        return self._read(column, lambda cell: words.choice(cell, allowed))

    def length(self, measure: str) -> int | None:
        """Give a length in mm from whichever of the measure's columns the list has."""
        for unit in MM_PER_UNIT:
            if self.has(f"{measure}_{unit}"):
                return self._read(f"{measure}_{unit}", partial(words.length_mm, unit=unit))
        return None

    def weight(self, measure: str, *, least_g: int = 1) -> int | None:
        """Give a weight in g from whichever of the measure's columns the list has."""
        for unit in G_PER_UNIT:
            if self.has(f"{measure}_{unit}"):
                reading = partial(words.weight_g, unit=unit, least_g=least_g)
                return self._read(f"{measure}_{unit}", reading)
        return None

    def _read(self, column: str, reading: Callable[[str], T]) -> T | None:
        cell = self._cells.get(column)
        if cell is None:
            return None
        try:
            return reading(cell)
        except ValueError as error:
            self.fault(column, str(error))
            return None
