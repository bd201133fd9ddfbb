"""The planner's sentences in the reader's language and units.

The planning contract carries warnings and reasons as sentences, and the planner, which knows no
language, writes them in English with millimetres and kilograms. They are recognised here by their
form when they are shown; one of another form is shown as it stands.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from loading.errors import BadKey
from loading.measures import area, length, volume, weight
from loading.planner.errors import Fault

Show = Callable[[str, str], str]


def _as_it_is(said: str, _units: str) -> str:
    return said


def _length(said_mm: str, units: str) -> str:
    return length(round(float(said_mm)), units)


def _lengths(said_mm: str, units: str) -> str:
    return " \u00d7 ".join(_length(one, units) for one in said_mm.split(" by "))


def _metres(said_m: str, units: str) -> str:
    return length(round(float(said_m) * 1000), units)


def _weight(said_kg: str, units: str) -> str:
    return weight(round(float(said_kg) * 1000), units)


def _area(said_m2: str, units: str) -> str:
    return area(round(float(said_m2) * 1e6), units)


def _volume(said_m3: str, units: str) -> str:
    return volume(round(float(said_m3) * 1e9), units)


_SHOWN: Final[Mapping[str, Show]] = {
    "mm": _length,
    "sizes": _lengths,
    "m": _metres,
    "kg": _weight,
    "m2": _area,
    "m3": _volume,
}
"""How a gap is shown, by the end of its name; others as they stand. A gap that ends in "part" is a
sentence itself, and must be known too."""


@dataclass(frozen=True, slots=True)
class Known:
    """A sentence of the planner, its gaps as named groups, and what it is called in `said`."""

    form: "re.Pattern[str]"
    said: Promise

    def told(self, sentence: str, units: str) -> str | None:
        """The sentence as the reader wants it; None if it has another form."""
        match = self.form.fullmatch(sentence)
        if match is None:
            return None
        shown: dict[str, str] = {}
        for name, value in match.groupdict().items():
            sort = name.rpartition("_")[2]
            told = _told(value, units) if sort == "part" else None
            if sort == "part" and told is None:
                return None
            shown[name] = told or _SHOWN.get(sort, _as_it_is)(value, units)
        return str(self.said) % shown


def _known(form: str, said: Promise) -> Known:
    gaps = re.sub(r"<(\w+)>", r"(?P<\1>.+?)", re.escape(form).replace(r"\ ", " "))
    return Known(re.compile(gaps), said)


KNOWN: Final = (
    _known(
        "R10 dock: vault <vault> cannot be pulled, <why_part>",
        _("R10 dock: vault %(vault)s cannot be pulled, %(why_part)s"),
    ),
    _known(
        "vault <vault> in lane <lane> cannot be reached: <count> to shift (<vaults>), free slots"
        " elsewhere: <slots>; <short> short. <remedy_part>",
        _(
            "vault %(vault)s in lane %(lane)s cannot be reached: %(count)s to shift (%(vaults)s),"
            " free slots elsewhere: %(slots)s; %(short)s short. %(remedy_part)s"
        ),
    ),
    _known(
        "<remedy_part>; empty, but barred by what stands before: <slots>",
        _("%(remedy_part)s; empty, but barred by what stands before: %(slots)s"),
    ),
    _known(
        "A few aisle places more would not do: vaults must leave other lanes first",
        _("A few aisle places more would not do: vaults must leave other lanes first"),
    ),
    _known(
        "With 1 aisle place more everything wanted comes out",
        _("With 1 aisle place more everything wanted comes out"),
    ),
    _known(
        "With <places> aisle places more everything wanted comes out",
        _("With %(places)s aisle places more everything wanted comes out"),
    ),
    _known(
        "R2 posture: <piece_sizes> mm as loaded passes the door of <door_sizes> mm in no posture"
        " allowed",
        _(
            "R2 posture: %(piece_sizes)s as loaded passes the door of %(door_sizes)s in no posture"
            " allowed"
        ),
    ),
    _known(
        "R3 room: larger than the truck in every posture that passes the door",
        _("R3 room: larger than the truck in every posture that passes the door"),
    ),
    _known(
        "R10 dock: takes <piece_m2> m2 on a floor of <floor_m2>",
        _("R10 dock: takes %(piece_m2)s on a floor of %(floor_m2)s"),
    ),
    _known(
        "R12 weight: weighs <piece_kg> kg, <left_kg> kg of payload are left",
        _("R12 weight: weighs %(piece_kg)s, %(left_kg)s of payload are left"),
    ),
    _known(
        "R10 dock: not reached in vault <vault>, the dock floor is full of what is left off",
        _("R10 dock: not reached in vault %(vault)s, the dock floor is full of what is left off"),
    ),
    _known(
        "R3 room: needs <need_mm> mm of the truck's length, <free_mm> mm are left, and no place"
        " higher up carries it",
        _(
            "R3 room: needs %(need_mm)s of the truck's length, %(free_mm)s are left, and no place"
            " higher up carries it"
        ),
    ),
    _known(
        "R14 tight: <free_mm> mm of length are left, but nothing there would hold it from both"
        " sides",
        _(
            "R14 tight: %(free_mm)s of length are left, but nothing there would hold it from both"
            " sides"
        ),
    ),
    _known(
        "<needed> pads are needed, <stock> are on the truck; they run out at step <step>",
        _("%(needed)s pads are needed, %(stock)s are on the truck; they run out at step %(step)s"),
    ),
    _known(
        "<kept_mm> mm are left before the doors; sizes that are only estimated may take up to"
        " <wanted_mm> mm more",
        _(
            "%(kept_mm)s are left before the doors; sizes that are only estimated may take up to"
            " %(wanted_mm)s more"
        ),
    ),
    _known(
        "steel springs and a long trip: check every tier for play before closing it",
        _("steel springs and a long trip: check every tier for play before closing it"),
    ),
    _known(
        "<pieces> pieces do not go along, each with its reason",
        _("Pieces that do not go along, each with its reason: %(pieces)s"),
    ),
    _known("<first_part>; <second_part>", _("%(first_part)s; %(second_part)s")),
    _known(
        "<pieces> pieces wait <minutes> minutes or longer on the floor",
        _("%(pieces)s pieces wait %(minutes)s minutes or longer on the floor"),
    ),
    _known(
        "<pieces> pieces wait <minutes> minutes or longer on the floor, one of them <longest>",
        _(
            "%(pieces)s pieces wait %(minutes)s minutes or longer on the floor, one of them"
            " %(longest)s"
        ),
    ),
    _known(
        "<pieces> piece waits <minutes> minutes or longer on the floor",
        _("one piece waits %(minutes)s minutes or longer on the floor"),
    ),
    _known(
        "taking <vault> first would <gain_part>",
        _("taking %(vault)s first would %(gain_part)s"),
    ),
    _known("<first_part> and <second_part>", _("%(first_part)s and %(second_part)s")),
    _known("take <pieces> more along", _("take %(pieces)s more along")),
    _known("save <shorter_m> m of truck", _("save %(shorter_m)s of truck")),
    _known("save a move", _("save a move")),
    _known("save <moves> moves", _("save %(moves)s moves")),
    _known("empty the floor sooner", _("empty the floor sooner")),
    _known("no truck takes any of it", _("no truck takes any of it")),
    _known("the plan has no place for it", _("the plan has no place for it")),
    _known(
        "the goods take <goods_m3> m3, the truck has <room_m3> m3",
        _("the goods take %(goods_m3)s, the truck has %(room_m3)s"),
    ),
    _known(
        "the goods weigh <goods_kg> kg, the payload is <payload_kg> kg",
        _("the goods weigh %(goods_kg)s, the payload is %(payload_kg)s"),
    ),
)


def bad_keys(faults: Iterable[Fault]) -> tuple[BadKey, ...]:
    """Faults of a document in the reader's language; their forms are in the catalogue of texts."""
    return tuple(BadKey(fault.pointer, fault.said.told(gettext)) for fault in faults)


def planner_said(sentence: str, units: str = "") -> str:
    """A warning or a reason of the planner as the reader wants it; `units` metric or imperial."""
    return _told(sentence, units) or sentence


def _told(sentence: str, units: str) -> str | None:
    told = (known.told(sentence, units) for known in KNOWN)
    return next((one for one in told if one is not None), None)
