"""The official marks for the condition of a piece, and where on it they are.

`data/condition_codes.csv` names the source of each line: the 25 exception codes of the descriptive
inventory (USTRANSCOM), descriptive marks, and the location numbers in common use. People write a
code and the locations behind it: "SC 4-8, D 2" is scratched at the front and right, dented below;
"PBO" says that the owner packed it.
"""

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from django.utils.translation import gettext

FILE = Path(__file__).parent / "data" / "condition_codes.csv"
_MARK = re.compile(r"([A-Z]{1,3})((?:[ \-/.]*[0-9]{1,2})*)")
_BETWEEN = re.compile(r"[\s,;]*")


@dataclass(frozen=True, slots=True)
class Mark:
    """A code and the numbers of the places on the piece."""

    code: str
    locations: tuple[int, ...] = ()

    @property
    def meaning(self) -> str:
        """In the reader's language."""
        return gettext(_codes()[self.code])

    @property
    def places(self) -> tuple[str, ...]:
        """In the reader's language."""
        return tuple(gettext(meanings("location")[str(number)]) for number in self.locations)


@cache
def meanings(kind: str) -> Mapping[str, str]:
    """Code to meaning; `kind` is exception, descriptive or location."""
    with FILE.open(encoding="utf-8", newline="") as lines:
        return {
            line["code"]: line["meaning"] for line in csv.DictReader(lines) if line["kind"] == kind
        }


@cache
def _codes() -> Mapping[str, str]:
    """What may be written of a piece: an exception, or who packed it and what it is."""
    return {**meanings("exception"), **meanings("descriptive")}


def condition_marks(text: str) -> tuple[Mark, ...] | None:
    """The marks in a note, or None for one that is plain words or names an unknown mark."""
    marks: list[Mark] = []
    at = 0
    text = text.strip()
    while at < len(text):
        found = _MARK.match(text, at)
        if found is None or found.end() == at:
            return None
        locations = tuple(int(number) for number in re.findall(r"[0-9]+", found[2]))
        if found[1] not in _codes() or not _are_known(locations):
            return None
        marks.append(Mark(found[1], locations))
        at = found.end()
        gap = _BETWEEN.match(text, at)
        at = gap.end() if gap else at
    return tuple(marks) or None


def _are_known(locations: tuple[int, ...]) -> bool:
    return all(str(number) in meanings("location") for number in locations)
