"""What may not ride, or only with care: words on a list that point to it, and what to do.

The words are our own list (`data/may_not_ride.csv`); what is behind them are the classes that the
carriers' rules name (49 CFR 171-173 and the booklet of 49 CFR 375 App. A; section numbers from
memory) and, where the file says so, common practice. A name that says nothing hides everything:
this helps a person to look, it does not replace looking.
"""

import csv
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, lru_cache
from pathlib import Path

from django.utils.translation import gettext

from inventory.lists.kind_names import name_words

FILE = Path(__file__).parent / "data" / "may_not_ride.csv"
LONG_TRIP_KM = 240
"""150 miles: further than that plants and food do not ride (common practice, from memory)."""


class Verdict(StrEnum):
    NEVER = "never"
    PREPARE = "prepare"
    LONG_TRIP = "long_trip"
    OFFICE = "office"


@dataclass(frozen=True, slots=True)
class RidingCaution:
    """Why a piece may not simply be loaded: the words that told it, and what to do."""

    group: str
    verdict: Verdict
    words: str
    what_to_do: str
    source: str

    @property
    def said(self) -> str:
        """The group in the reader's language."""
        return gettext(self.group)

    @property
    def advice(self) -> str:
        """What to do, in the reader's language."""
        return gettext(self.what_to_do)


@dataclass(frozen=True, slots=True)
class _Group:
    caution: RidingCaution
    phrases: tuple[tuple[str, ...], ...]
    but_not: tuple[tuple[str, ...], ...]


@lru_cache(maxsize=4_000)
def riding_cautions(name: str, *, distance_km: float | None = None) -> tuple[RidingCaution, ...]:
    """What speaks against loading a piece of this name. Without a distance the trip may be long.

    Words are found in any number and case, in the order of the phrase, next to each other.
    """
    said = tuple(name_words(name))
    short = distance_km is not None and distance_km <= LONG_TRIP_KM
    found = (_found(group, said) for group in _groups())
    return tuple(
        caution for caution in found if caution and not (short and _is_for_long_trips(caution))
    )


def _is_for_long_trips(caution: RidingCaution) -> bool:
    return caution.verdict is Verdict.LONG_TRIP


def _found(group: _Group, said: tuple[str, ...]) -> RidingCaution | None:
    """The caution of a group, if a phrase of it is said outside those that mean another thing."""
    harmless = {at for phrase in group.but_not for at in _covered(phrase, said)}
    for phrase in group.phrases:
        for begin in _begins(phrase, said):
            if not set(range(begin, begin + len(phrase))) <= harmless:
                told, caution = " ".join(phrase), group.caution
                return RidingCaution(
                    caution.group, caution.verdict, told, caution.what_to_do, caution.source
                )
    return None


def _begins(phrase: tuple[str, ...], said: tuple[str, ...]) -> list[int]:
    last = len(said) - len(phrase)
    return [at for at in range(last + 1) if said[at : at + len(phrase)] == phrase]


def _covered(phrase: tuple[str, ...], said: tuple[str, ...]) -> set[int]:
    return {at for begin in _begins(phrase, said) for at in range(begin, begin + len(phrase))}


@cache
def _groups() -> tuple[_Group, ...]:
    with FILE.open(encoding="utf-8", newline="") as lines:
        return tuple(_group(line) for line in csv.DictReader(lines))


def _group(line: dict[str, str]) -> _Group:
    verdict = Verdict(line["verdict"])
    caution = RidingCaution(line["group"], verdict, "", line["what_to_do"], line["source"])
    return _Group(caution, _phrases(line["words"]), _phrases(line["but_not"]))


def _phrases(text: str) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(name_words(phrase)) for phrase in text.split(";") if phrase)
