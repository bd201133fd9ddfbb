"""What stands around a picture: the truck's outline, the walls' names, scale, legend and notes."""

from dataclasses import dataclass

from loading.pictures import marks
from loading.pictures.labels import SECOND_FONT
from loading.pictures.marks import INK, Mark
from loading.pictures.svg import document, element, group, text, text_width, wrapped

EDGE_MM = 40
TITLE_FONT = 96
SWATCH_MM = 90
LINE_MM = 105
BAR_MM = 1000


@dataclass(frozen=True, slots=True)
class Picture:
    """What is drawn within the outline, in millimetres from its upper left corner.

    `name` begins the ids of the patterns that the picture uses.
    """

    name: str
    body: list[str]


@dataclass(frozen=True, slots=True)
class Surround:
    """The frame of a picture. `over_mm` and `under_mm` are kept free above and below it."""

    width_mm: int
    height_mm: int
    margin_mm: float
    title: str
    description: str
    legend: list[tuple[Mark | None, str]]
    notes: list[str]
    sides: tuple[str, str]
    over_mm: float = 0
    under_mm: float = 0

    def around(self, picture: Picture) -> str:
        """The whole SVG document."""
        left, top = self.margin_mm + EDGE_MM, 1.5 * TITLE_FONT + self.over_mm
        feet = self._feet(picture.name)
        height = top + self.height_mm + self.under_mm + feet[1] + EDGE_MM
        body = [
            marks.patterns(picture.name),
            text(self.title, EDGE_MM, 1.05 * TITLE_FONT, TITLE_FONT, font_weight="bold"),
            group(
                {"transform": f"translate({left:.0f} {top:.0f})", "class": "scene"},
                [*picture.body, self._outline(), self._ground()],
            ),
            group(
                {"transform": f"translate({EDGE_MM} {top + self.height_mm + self.under_mm:.0f})"},
                feet[0],
            ),
        ]
        return document(self._full_mm, height, self.title, self.description, body)

    @property
    def _full_mm(self) -> float:
        return self.width_mm + 2 * (self.margin_mm + EDGE_MM)

    def _outline(self) -> str:
        walls = f"M0 0V{self.height_mm}H{self.width_mm}V0Z"
        return element("path", {"d": walls, "stroke": INK, "stroke-width": 16, "fill": "none"})

    def _ground(self) -> str:
        """The names of both ends, and a bar of one metre between them."""
        y = self.height_mm + self.under_mm + SECOND_FONT * 1.4
        middle = self.width_mm / 2
        bar = f"M{middle - BAR_MM / 2:.0f} {y - 45:.0f}v30h{BAR_MM}v-30"
        said = [
            text(self.sides[0], 0, y, SECOND_FONT),
            text(self.sides[1], self.width_mm, y, SECOND_FONT, text_anchor="end"),
            element(
                "path",
                {"d": bar, "stroke": INK, "stroke-width": 8, "fill": "none", "class": "scale"},
            ),
            text("1 m", middle, y - 28, SECOND_FONT, text_anchor="middle"),
        ]
        return group({"class": "ground"}, said)

    def _feet(self, name: str) -> tuple[list[str], float]:
        """Legend and notes below the picture, and the height that they take with the ground."""
        drawn: list[str] = []
        x, y = 0.0, SECOND_FONT * 1.4 + LINE_MM
        room = self._full_mm - 2 * EDGE_MM
        for mark, word in self.legend:
            wide = text_width(word, SECOND_FONT) + (0 if mark is None else 1.3 * SWATCH_MM)
            if x and x + wide > room:
                x, y = 0.0, y + LINE_MM
            drawn.append(self._entry(name, mark, word, x, y))
            x += wide + 60
        for note in self.notes:
            for line in wrapped(note, room, SECOND_FONT):
                y += LINE_MM
                drawn.append(text(line, 0, y, SECOND_FONT))
        return drawn, y

    def _entry(self, name: str, mark: Mark | None, word: str, x: float, y: float) -> str:
        if mark is None:
            return text(word, x, y, SECOND_FONT)
        swatch = element(
            "rect",
            {
                "x": x,
                "y": y - 0.72 * SWATCH_MM,
                "width": SWATCH_MM,
                "height": SWATCH_MM * 0.8,
                "fill": marks.paint(mark, name),
                "stroke": INK,
                "stroke-width": 5,
            },
        )
        return group({}, [swatch, text(word, x + 1.3 * SWATCH_MM, y, SECOND_FONT)])
