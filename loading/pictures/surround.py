"""What stands around a picture: the truck's outline, the walls' names, scale, legend and notes."""

from dataclasses import dataclass

from loading.pictures import marks
from loading.pictures.labels import SECOND_FONT
from loading.pictures.marks import INK, Mark
from loading.pictures.svg import Value, document, element, group, text, text_width, wrapped

EDGE_MM = 40
TITLE_FONT = 96
SWATCH_MM = 90
LINE_MM = 105
BARS_MM = {"metric": (1000, "1 m"), "imperial": (914, "3 ft")}
SHORT_BARS_MM = {"metric": (500, "50 cm"), "imperial": (305, "1 ft")}
SHORT_BELOW_MM = 1600


@dataclass(frozen=True, slots=True)
class Picture:
    """What is drawn within the outline, in millimetres from its upper left corner.

    `name` begins the ids of the patterns that the picture uses.
    """

    name: str
    body: list[str]


@dataclass(frozen=True, slots=True)
class Surround:
    """The frame of a picture.

    `margins_mm` are kept free at its left and right, `over_mm` and `under_mm` above and below it;
    `zoom` enlarges what is written around a picture that is wider than a tier.
    """

    width_mm: int
    height_mm: int
    margins_mm: tuple[float, float]
    title: str
    description: str
    legend: list[Mark]
    notes: list[str]
    sides: tuple[str, str]
    units: str = "metric"
    zoom: float = 1
    over_mm: float = 0
    under_mm: float = 0

    def around(self, picture: Picture) -> str:
        """The whole SVG document."""
        title_font = TITLE_FONT * self.zoom
        left, top = self.margins_mm[0] + EDGE_MM, 1.5 * title_font + self.over_mm
        bottom = top + self.height_mm + self.under_mm
        feet, feet_mm = self._feet(picture.name)
        feet_group = {"transform": f"translate({EDGE_MM} {bottom:.0f}) scale({self.zoom})"}
        body = [
            marks.patterns(picture.name),
            text(self.title, EDGE_MM, 1.05 * title_font, title_font, font_weight="bold"),
            group(
                {"transform": f"translate({left:.0f} {top:.0f})", "class": "scene"},
                [*picture.body, self._outline(), self._ground()],
            ),
            group(feet_group, feet),
        ]
        height = bottom + feet_mm * self.zoom + EDGE_MM
        return document(self._full_mm, height, self.title, self.description, body)

    @property
    def _full_mm(self) -> float:
        return self.width_mm + sum(self.margins_mm) + 2 * EDGE_MM

    @property
    def _font(self) -> float:
        return SECOND_FONT * self.zoom

    def _outline(self) -> str:
        walls = f"M0 0V{self.height_mm}H{self.width_mm}V0Z"
        return element("path", {"d": walls, "stroke": INK, "stroke-width": 16, "fill": "none"})

    def _ground(self) -> str:
        """The names of both ends, and between them a bar of a known length."""
        font = self._font
        y = self.height_mm + self.under_mm + font * 1.4
        bars = BARS_MM if self.width_mm >= SHORT_BELOW_MM else SHORT_BARS_MM
        bar_mm, length = bars.get(self.units, bars["metric"])
        begin = (self.width_mm - bar_mm) / 2
        bar = f"M{begin:.0f} {y - 0.6 * font:.0f}v{0.5 * font:.0f}h{bar_mm}v{-0.5 * font:.0f}"
        line: dict[str, Value] = {"stroke": INK, "stroke-width": 8, "fill": "none"}
        said = [
            text(self.sides[0], 0, y, font),
            text(self.sides[1], self.width_mm, y, font, text_anchor="end"),
            element("path", {"d": bar, **line, "class": "scale"}),
            text(length, begin + bar_mm + 0.4 * font, y, font),
        ]
        return group({"class": "ground"}, said)

    def _feet(self, name: str) -> tuple[list[str], float]:
        """Legend and notes below the picture, and the height that they take with the ground."""
        drawn: list[str] = []
        x, y = 0.0, SECOND_FONT * 1.8 + LINE_MM
        room = (self._full_mm - 2 * EDGE_MM) / self.zoom
        for mark in self.legend:
            wide = text_width(str(mark.word), SECOND_FONT) + 1.3 * SWATCH_MM
            if x and x + wide > room:
                x, y = 0.0, y + LINE_MM
            drawn.append(_entry(name, mark, x, y))
            x += wide + 60
        for note in self.notes:
            for line in wrapped(note, room, SECOND_FONT):
                y += LINE_MM
                drawn.append(text(line, 0, y, SECOND_FONT))
        return drawn, y


def _entry(name: str, mark: Mark, x: float, y: float) -> str:
    box: dict[str, Value] = {
        "x": x,
        "y": y - 0.72 * SWATCH_MM,
        "width": SWATCH_MM,
        "height": 0.8 * SWATCH_MM,
        "fill": marks.paint(mark, name),
        "stroke": INK,
        "stroke-width": 6,
    }
    swatch = [element("rect", box | marks.LINES.get(mark.name, {}))]
    if mark == marks.FRAGILE:
        inner: dict[str, Value] = {"x": x + 16, "y": y - 0.72 * SWATCH_MM + 16}
        inner |= {"width": SWATCH_MM - 32, "height": 0.8 * SWATCH_MM - 32}
        swatch.append(element("rect", box | inner))
    return group({}, [*swatch, text(str(mark.word), x + 1.3 * SWATCH_MM, y, SECOND_FONT)])
