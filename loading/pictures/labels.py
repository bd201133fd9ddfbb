"""Labels: in a thing where they fit, else in the margin with a line to the thing."""

from dataclasses import dataclass

from loading.pictures.marks import INK
from loading.pictures.sight import Rect, Spot
from loading.pictures.svg import BOLD_SIGN_EM, element, group, haloed, text, text_width

# A picture of a truck's width on a phone is drawn at about an eighth of a pixel per millimetre:
# these sizes keep tags at nine pixels there (measured in a browser 360 pixels wide).
FONT_MIN = 72
FONT_MAX = 150
SECOND_FONT = 66
MARGIN_FONT = 76
MARGIN_GAP = 50


@dataclass(frozen=True, slots=True)
class Pointed:
    """A label that stands in the margin and points at a place in the picture."""

    said: str
    x: float
    y: float


def fits(spot: Spot) -> bool:
    return spot.font >= FONT_MIN


def label(said: str, more: list[str], spot: Spot, *, on_black: bool = False) -> str:
    """The label in its spot; the lines of `more` are added under it as long as they fit."""
    font = min(spot.font, FONT_MAX)
    x, y = spot.rect.middle
    if spot.turned:
        turn = f"rotate(-90 {x:.1f} {y:.1f})"
        return _lines([said], font, x, y, on_black, turn)
    lines = [said]
    for extra in more:
        room = spot.rect.height - 1.1 * font - SECOND_FONT * 1.15 * len(lines)
        if room > 0 and text_width(extra, SECOND_FONT) <= 0.96 * spot.rect.width:
            lines.append(extra)
    return _lines(lines, font, x, y, on_black, None)


def _lines(
    lines: list[str], font: float, x: float, y: float, on_black: bool, turn: str | None
) -> str:
    height = font + SECOND_FONT * 1.15 * (len(lines) - 1)
    baseline = y - height / 2 + 0.86 * font
    said = []
    for n, line in enumerate(lines):
        size = font if n == 0 else SECOND_FONT
        weight = "bold" if n == 0 else "normal"
        at = baseline + n * SECOND_FONT * 1.15
        if on_black:
            said.append(text(line, x, at, size, font_weight=weight, fill="#fff"))
        else:
            said.append(haloed(line, x, at, size, font_weight=weight))
    turned = {} if turn is None else {"transform": turn}
    return group({"text-anchor": "middle", "class": "label", **turned}, said)


def margin_width(pointed: list[Pointed]) -> float:
    widest = max((len(one.said) * BOLD_SIGN_EM * MARGIN_FONT for one in pointed), default=0)
    return widest + 1.6 * MARGIN_GAP if pointed else 0


def margin_labels(pointed: list[Pointed], width: int, height: int) -> str:
    """The labels beside a picture of that size, each on the side that is nearer to its thing."""
    left = sorted((p for p in pointed if p.x < width / 2), key=lambda p: (p.y, p.x))
    right = sorted((p for p in pointed if p.x >= width / 2), key=lambda p: (p.y, -p.x))
    drawn = [
        *(_pointing(p, y, -MARGIN_GAP, "end") for p, y in _spread(left, height)),
        *(_pointing(p, y, width + MARGIN_GAP, "start") for p, y in _spread(right, height)),
    ]
    return group({"class": "margin"}, drawn)


def _spread(pointed: list[Pointed], height: int) -> list[tuple[Pointed, float]]:
    """Heights for labels in the margin: near their things, one line apart, none below the deck."""
    apart = 1.2 * MARGIN_FONT
    ys: list[float] = []
    for one in pointed:
        ys.append(max(one.y, ys[-1] + apart) if ys else one.y)
    lowest = float(height)
    for n in reversed(range(len(ys))):
        ys[n] = min(ys[n], lowest)
        lowest = ys[n] - apart
    return list(zip(pointed, ys, strict=True))


def _pointing(one: Pointed, y: float, x: float, anchor: str) -> str:
    line = f"M{x:.0f} {y:.0f}L{one.x:.0f} {one.y:.0f}"
    return group(
        {"class": "label"},
        [
            element("path", {"d": line, "stroke": "#fff", "stroke-width": 16, "fill": "none"}),
            element("path", {"d": line, "stroke": INK, "stroke-width": 5, "fill": "none"}),
            element("circle", {"cx": one.x, "cy": one.y, "r": 13, "fill": INK}),
            haloed(
                one.said,
                x + (-8 if anchor == "end" else 8),
                y + 0.35 * MARGIN_FONT,
                MARGIN_FONT,
                text_anchor=anchor,
                font_weight="bold",
            ),
        ],
    )


def rect_attributes(rect: Rect) -> dict[str, str | int | float]:
    return {"x": rect.x, "y": rect.y, "width": rect.width, "height": rect.height}
