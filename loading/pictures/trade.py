"""Orders of the pulls compared: space use against vaults shifted against dock floor."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from string import ascii_uppercase
from typing import Final

from django.utils.translation import gettext as _

from loading.measures import area
from loading.pictures.marks import INK
from loading.pictures.svg import Value, document, element, group, haloed, text

WIDE: Final = 700
LEFT: Final = 88  # for the numbers of the scale
RIGHT: Final = 20
TOP: Final = 84
HIGH: Final = 300
FONT: Final = 21
TITLE_FONT: Final = 26
LARGEST: Final = 34  # radius of the order that takes most of the floor
LEAST_SPAN: Final = 0.02  # orders that differ by less than that look alike


@dataclass(frozen=True, slots=True)
class TradePoint:
    """An order of the pulls. `in_front`: no other is at least as good in every figure."""

    moves: int
    space_use: float
    floor_peak_mm2: int
    in_front: bool
    is_planned: bool


def letter(number: int) -> str:
    """What an order is called in the picture and in the table beside it."""
    return ascii_uppercase[number % len(ascii_uppercase)]


def trade_svg(orders: Sequence[TradePoint], *, units: str = "metric") -> str:
    """A disc for each order: higher is more space used, to the right are more vaults shifted,
    larger is more floor. Thick ones are those to choose from; the plan's own has a second edge."""
    low, high = _span(orders)
    body = [
        text(_("Space use and vaults shifted"), 10, TITLE_FONT, TITLE_FONT, font_weight="bold"),
        *_axes(orders, low, high),
        *(_disc(n, orders, (low, high)) for n in range(len(orders))),
        *_explained(orders, units),
    ]
    title = _("Orders of the pulls compared")
    return document(WIDE, TOP + HIGH + 6.4 * FONT, title, _described(orders, units), body)


def _span(orders: Sequence[TradePoint]) -> tuple[float, float]:
    uses = [one.space_use for one in orders]
    middle = (min(uses) + max(uses)) / 2
    half = max(max(uses) - min(uses), LEAST_SPAN) / 2
    return middle - half, middle + half


def _places(orders: Sequence[TradePoint]) -> list[float]:
    """How far to the right each stands: by its moves, those with as many beside each other."""
    by_moves = sorted(range(len(orders)), key=lambda n: (orders[n].moves, n))
    wide = (WIDE - LEFT - RIGHT) / len(orders)
    return [LEFT + wide * (by_moves.index(n) + 0.5) for n in range(len(orders))]


def _axes(orders: Sequence[TradePoint], low: float, high: float) -> list[str]:
    thin: dict[str, Value] = {"stroke": INK, "stroke-width": 2, "fill": "none"}
    drawn = [element("path", {"d": f"M{LEFT} {TOP}V{TOP + HIGH}H{WIDE - RIGHT}", **thin})]
    for use in (low, high):
        y = _y(use, low, high) + FONT / 3
        drawn.append(text(f"{100 * use:.1f} %", LEFT - 8, y, FONT, text_anchor="end"))
    half = (WIDE - LEFT - RIGHT) / len(orders) / 2
    places = _places(orders)
    for moves in sorted({one.moves for one in orders}):
        alike = [x for x, one in zip(places, orders, strict=True) if one.moves == moves]
        ends, middle = max(alike) + half, (min(alike) + max(alike)) / 2
        drawn.append(element("path", {"d": f"M{ends:.1f} {TOP + HIGH}v12", **thin}))
        y = TOP + HIGH + 1.2 * FONT
        drawn.append(text(str(moves), middle, y, FONT, text_anchor="middle"))
    return drawn


def _y(use: float, low: float, high: float) -> float:
    inner = HIGH - 2 * LARGEST
    return TOP + LARGEST + inner * (high - use) / (high - low)


def _disc(number: int, orders: Sequence[TradePoint], span: tuple[float, float]) -> str:
    one, x = orders[number], _places(orders)[number]
    y = _y(one.space_use, *span)
    most = max(other.floor_peak_mm2 for other in orders)
    radius = LARGEST * sqrt(one.floor_peak_mm2 / max(1, most))
    edge: dict[str, Value] = {"stroke": INK, "stroke-width": 5 if one.in_front else 2}
    drawn = [element("circle", {"cx": x, "cy": y, "r": radius, "fill": "#eee", **edge})]
    if one.is_planned:
        drawn.append(
            element("circle", {"cx": x, "cy": y, "r": radius - 7, "fill": "none", "stroke": INK})
        )
    said: dict[str, Value] = {"text_anchor": "middle", "font_weight": "bold"}
    drawn.append(haloed(letter(number), x, y + FONT / 3, FONT, **said))
    return group({"class": "order"}, drawn)


def _explained(orders: Sequence[TradePoint], units: str) -> list[str]:
    floors = [one.floor_peak_mm2 for one in orders]
    lines = (
        _("across: vaults shifted; upwards: space used"),
        _("larger: more of the floor at its fullest, %(least)s to %(most)s")
        % {"least": area(min(floors), units), "most": area(max(floors), units)},
        _("thick: to choose from; two edges: as planned"),
    )
    y = TOP + HIGH + 2.7 * FONT
    return [text(line, 10, y + 1.3 * FONT * n, FONT * 0.9) for n, line in enumerate(lines)]


def _described(orders: Sequence[TradePoint], units: str) -> str:
    return "; ".join(
        _("%(name)s: space use %(use).1f %%, %(moves)d vaults shifted, floor %(area)s")
        % {
            "name": letter(n),
            "use": 100 * one.space_use,
            "moves": one.moves,
            "area": area(one.floor_peak_mm2, units),
        }
        for n, one in enumerate(orders)
    )
