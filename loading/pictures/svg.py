"""Writing SVG: elements as text, everything that comes from outside escaped."""

from collections.abc import Iterable, Mapping
from xml.sax.saxutils import escape, quoteattr

# Text may hold what XML 1.0 forbids even escaped (section 2.2 "Characters").
_FORBIDDEN = {n: None for n in range(32) if n not in (9, 10, 13)} | {0xFFFE: None, 0xFFFF: None}

# Width of a sign in ems, wide enough for the widest common face (DejaVu Sans: digits .64, bold
# .70; read from its metrics). Narrower faces leave a little room.
SIGN_EM = 0.6
BOLD_SIGN_EM = 0.7

Value = str | int | float


def element(name: str, attributes: Mapping[str, Value], *children: str) -> str:
    """An element; `children` are elements or text that is already escaped."""
    said = "".join(f" {key}={quoteattr(_number(value))}" for key, value in attributes.items())
    if not children:
        return f"<{name}{said}/>"
    return f"<{name}{said}>{''.join(children)}</{name}>"


def plain(text: str) -> str:
    """Text escaped for use between tags."""
    return escape(_clean(text))


def group(attributes: Mapping[str, Value], children: Iterable[str]) -> str:
    return element("g", attributes, *children, "")


def text(said: str, x: float, y: float, size: float, **attributes: Value) -> str:
    """One line of text; `y` is its baseline."""
    given = {key.replace("_", "-"): value for key, value in attributes.items()}
    return element("text", {"x": x, "y": y, "font-size": size, **given}, plain(said))


def haloed(said: str, x: float, y: float, size: float, **attributes: Value) -> str:
    """Text with a white edge, so that it can be read on hatching and across outlines."""
    edge: dict[str, Value] = {
        "stroke": "#fff",
        "stroke_width": size / 8,
        "stroke_linejoin": "round",
        "paint_order": "stroke",
    }
    return text(said, x, y, size, **edge, **attributes)


def text_width(said: str, size: float) -> float:
    return len(said) * SIGN_EM * size


def wrapped(said: str, width: float, size: float) -> list[str]:
    """The lines of a text that is to be no wider than `width`."""
    lines: list[str] = []
    for word in said.split():
        if lines and text_width(f"{lines[-1]} {word}", size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def document(width: float, height: float, title: str, description: str, body: list[str]) -> str:
    """A whole picture whose unit is the millimetre; it takes the width that a page gives it."""
    return element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {_number(width)} {_number(height)}",
            "role": "img",
            "font-family": "system-ui, Arial, Helvetica, sans-serif",
            "fill": "#111",
        },
        element("title", {}, plain(title)),
        element("desc", {}, plain(description)),
        element("rect", {"width": width, "height": height, "fill": "#fff"}),
        *body,
    )


def _number(value: Value) -> str:
    return f"{value:.1f}".removesuffix(".0") if isinstance(value, float) else _clean(str(value))


def _clean(text: str) -> str:
    return text.translate(_FORBIDDEN)
