"""How kinds of things look: a pattern and a word for each, so that no one needs colour."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from loading.pictures.svg import Value, element
from loading.planner.request import Item

INK = "#222"


@dataclass(frozen=True, slots=True)
class Mark:
    """A kind of thing in a picture: the pattern's name, its ground and the word in the legend."""

    name: str
    ground: str
    word: str | Promise


CARTON = Mark("carton", "#faf1dc", _("carton"))
FURNITURE = Mark("furniture", "#ffffff", _("furniture"))
SOFT = Mark("soft", "#edf2f7", _("soft"))
FILL = Mark("fill", "#f1f1f1", _("rolled pads"))
BLOCKED = Mark("blocked", "#e4e4e4", _("part of the truck"))
# Two that are told by their outline, whatever their ground.
FRAGILE = Mark("fragile", "#ffffff", _("fragile: nothing on it"))
INSIDE = Mark("inside", "#ffffff", _("inside another piece"))
MARKS = (CARTON, FURNITURE, SOFT, FILL, BLOCKED, FRAGILE, INSIDE)
LINES: dict[str, dict[str, Value]] = {"inside": {"stroke-dasharray": "30 16"}}

# What is drawn once per pattern tile, and how large the tile is in millimetres.
_TILES: dict[str, tuple[int, list[tuple[str, dict[str, Value]]]]] = {
    "carton": (60, [("path", {"d": "M0 30H60", "stroke": "#cfb98a", "stroke-width": 4})]),
    "furniture": (60, []),
    "soft": (60, [("circle", {"cx": 30, "cy": 30, "r": 7, "fill": "#8fa3b8"})]),
    "fragile": (60, []),
    "inside": (60, []),
    "fill": (50, [("path", {"d": "M0 50L50 0", "stroke": "#777", "stroke-width": 6})]),
    "blocked": (50, [("path", {"d": "M0 50L50 0M0 0L50 50", "stroke": "#777", "stroke-width": 5})]),
}


def mark_of(item: Item) -> Mark:
    if item.carton:
        return CARTON
    return SOFT if item.soft else FURNITURE


def paint(mark: Mark, picture: str) -> str:
    """The value of a `fill` attribute. `picture` keeps apart the pictures on one page."""
    return f"url(#{picture}-{mark.name})"


def patterns(picture: str) -> str:
    return element("defs", {}, *(_pattern(mark, picture) for mark in MARKS))


def _pattern(mark: Mark, picture: str) -> str:
    size, shapes = _TILES[mark.name]
    return element(
        "pattern",
        {
            "id": f"{picture}-{mark.name}",
            "width": size,
            "height": size,
            "patternUnits": "userSpaceOnUse",
        },
        element("rect", {"width": size, "height": size, "fill": mark.ground}),
        *(element(name, attributes) for name, attributes in shapes),
    )
