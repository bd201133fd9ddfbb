"""The pictures of a plan on paper: our own SVG, drawn again as lines and text of a PDF.

Only what `loading.pictures` writes is understood; anything else is an error, not a blank.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Any
from xml.etree import ElementTree

from reportlab.lib.colors import Color, HexColor, black, white
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Flowable

from inventory.labels.text import printable

_SVG = "{http://www.w3.org/2000/svg}"
_SILENT = {"title", "desc", "defs"}
_TURNS = re.compile(r"(translate|scale|rotate)\(([^)]*)\)")
_PATH = re.compile(r"[MmLlHhVvZz]|-?\d*\.?\d+(?:e-?\d+)?")
_PAINTED = re.compile(r"url\(#(.+)\)")
_NAMES = {"black": black, "white": white}


class Picture(Flowable):
    """An SVG picture, as wide as it may be within `width` and `height` points."""

    def __init__(self, svg: str, *, width: float, height: float) -> None:
        super().__init__()
        # Our own text, never a stranger's: `loading.pictures` wrote it a moment ago.
        self._root = ElementTree.fromstring(svg)
        box = [float(number) for number in self._root.attrib["viewBox"].split()]
        self._box = box
        self._scale = min(width / box[2], height / box[3])
        self.width, self.height = box[2] * self._scale, box[3] * self._scale
        self._patterns = {
            node.attrib["id"]: node for node in self._root.iter() if _tag(node) == "pattern"
        }

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: ARG002, N803
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        canvas.saveState()
        canvas.scale(self._scale, -self._scale)
        canvas.translate(-self._box[0], -self._box[1] - self._box[3])
        _Drawing(canvas, self._patterns).children(self._root, {"fill": "#111"})
        canvas.restoreState()


class _Drawing:
    """Draws elements; y runs downwards, as in SVG."""

    def __init__(self, canvas: Canvas, patterns: Mapping[str, ElementTree.Element]) -> None:
        self._canvas = canvas
        self._patterns = patterns

    def children(self, node: ElementTree.Element, inherited: Mapping[str, str]) -> None:
        style = {**inherited, **node.attrib}
        for key in ("transform", "id", "class", "x", "y", "width", "height"):
            style.pop(key, None)
        for child in node:
            self._element(child, style)

    def _element(self, node: ElementTree.Element, inherited: Mapping[str, str]) -> None:
        tag = _tag(node)
        if tag in _SILENT:
            return
        self._canvas.saveState()
        self._transform(node.attrib.get("transform", ""))
        if tag in ("g", "svg"):
            self.children(node, inherited)
        elif tag == "text":
            self._text(node, {**inherited, **node.attrib})
        elif tag in ("rect", "path", "circle"):
            self._shape(self._outline(tag, node.attrib), {**inherited, **node.attrib})
        else:
            raise ValueError(f"pictures on paper know no <{tag}>")
        self._canvas.restoreState()

    def _transform(self, said: str) -> None:
        for name, numbers in _TURNS.findall(said):
            given = [float(number) for number in re.split(r"[ ,]+", numbers.strip())]
            if name == "translate":
                self._canvas.translate(given[0], given[1] if len(given) > 1 else 0)
            elif name == "scale":
                self._canvas.scale(given[0], given[-1])
            else:
                about = given[1:] or [0, 0]
                self._canvas.translate(*about)
                self._canvas.rotate(given[0])
                self._canvas.translate(-about[0], -about[1])

    # ── Shapes ──────────────────────────────────────────────────────────────────────────────────
    def _outline(self, tag: str, said: Mapping[str, str]) -> PDFPathObject:
        path = self._canvas.beginPath()
        number = {
            key: float(said.get(key, 0)) for key in ("x", "y", "width", "height", "cx", "cy", "r")
        }
        if tag == "rect":
            path.rect(number["x"], number["y"], number["width"], number["height"])
        elif tag == "circle":
            path.circle(number["cx"], number["cy"], number["r"])
        else:
            for step, x, y in _path_steps(said["d"]):
                if step == "close":
                    path.close()
                elif step == "move":
                    path.moveTo(x, y)
                else:
                    path.lineTo(x, y)
        return path

    def _shape(self, path: PDFPathObject, style: Mapping[str, str]) -> None:
        ground = style.get("fill", "#000")
        pattern = _PAINTED.fullmatch(ground)
        if pattern:
            self._tiles(path, self._patterns[pattern[1]], style)
        elif ground != "none":
            self._canvas.setFillColor(_color(ground))
            self._canvas.drawPath(path, stroke=0, fill=1)
        if style.get("stroke", "none") != "none":
            self._stroke(style)
            self._canvas.drawPath(path, stroke=1, fill=0)

    def _stroke(self, style: Mapping[str, str]) -> None:
        self._canvas.setStrokeColor(_color(style["stroke"]))
        self._canvas.setLineWidth(float(style.get("stroke-width", 1)))
        dashes = style.get("stroke-dasharray", "none")
        if dashes != "none":
            self._canvas.setDash([float(dash) for dash in re.split(r"[ ,]+", dashes)])

    def _tiles(
        self, path: PDFPathObject, pattern: ElementTree.Element, style: Mapping[str, str]
    ) -> None:
        """Fill a shape with a pattern, its tiles counted from the picture's corner as in SVG."""
        left, low, right, high = _bounds(path)
        step_x, step_y = float(pattern.attrib["width"]), float(pattern.attrib["height"])
        self._canvas.saveState()
        self._canvas.clipPath(path, stroke=0, fill=0)
        plain = {key: style[key] for key in ("font-family",) if key in style}
        y = low // step_y * step_y
        while y < high:
            x = left // step_x * step_x
            while x < right:
                self._canvas.saveState()
                self._canvas.translate(x, y)
                self.children(pattern, plain)
                self._canvas.restoreState()
                x += step_x
            y += step_y
        self._canvas.restoreState()

    # ── Text ────────────────────────────────────────────────────────────────────────────────────
    def _text(self, node: ElementTree.Element, style: Mapping[str, str]) -> None:
        said = printable("".join(node.itertext()))
        size = float(style["font-size"])
        font = "Helvetica-Bold" if style.get("font-weight") == "bold" else "Helvetica"
        width = self._canvas.stringWidth(said, font, size)
        back = {"middle": width / 2, "end": width}.get(style.get("text-anchor", ""), 0)
        self._canvas.translate(
            float(node.attrib.get("x", 0)) - back, float(node.attrib.get("y", 0))
        )
        self._canvas.scale(1, -1)
        if style.get("stroke", "none") != "none":  # the white edge lies under the letters
            self._stroke(style)
            self._canvas.setLineJoin(1)
            self._write(said, font, size, mode=1)
        self._canvas.setFillColor(_color(style.get("fill", "#000")))
        self._write(said, font, size, mode=0)

    def _write(self, said: str, font: str, size: float, mode: int) -> None:
        written = self._canvas.beginText(0, 0)
        written.setFont(font, size)
        written.setTextRenderMode(mode)
        written.textOut(said)
        written.setTextRenderMode(0)
        self._canvas.drawText(written)


def _path_steps(said: str) -> Iterator[tuple[str, float, float]]:
    """Read a path of straight lines (SVG 2, 9.3) as moves, lines and closings."""
    signs = _PATH.findall(said)
    command, n = "", 0
    x = y = start_x = start_y = 0.0
    while n < len(signs):
        if signs[n].isalpha():
            command, n = signs[n], n + 1
        kind, relative = command.upper(), command.islower()
        if kind == "Z":
            x, y = start_x, start_y
            yield "close", x, y
            continue
        if kind in "ML":
            dx, dy, n = float(signs[n]), float(signs[n + 1]), n + 2
            x, y = (x + dx, y + dy) if relative else (dx, dy)
        elif kind == "H":
            x, n = float(signs[n]) + (x if relative else 0), n + 1
        else:
            y, n = float(signs[n]) + (y if relative else 0), n + 1
        if kind == "M":
            start_x, start_y = x, y
            command = "l" if relative else "L"  # further pairs are lines
        yield ("move" if kind == "M" else "line"), x, y


def _bounds(path: PDFPathObject) -> tuple[float, float, float, float]:
    """The box around a path, read from its operators `x y m`, `x y l` and `x y w h re`."""
    xs: list[float] = []
    ys: list[float] = []
    for code in path._code:  # reportlab tells it nowhere else
        *numbers, operator = code.split()
        given = [float(number) for number in numbers]
        if operator == "re":
            xs += [given[0], given[0] + given[2]]
            ys += [given[1], given[1] + given[3]]
        else:
            xs += given[0::2]
            ys += given[1::2]
    return min(xs), min(ys), max(xs), max(ys)


def _color(said: str) -> Color:
    if said in _NAMES:
        return _NAMES[said]
    digits = said.removeprefix("#")
    return HexColor("#" + ("".join(2 * digit for digit in digits) if len(digits) == 3 else digits))


def _tag(node: Any) -> str:
    return str(node.tag).removeprefix(_SVG)
