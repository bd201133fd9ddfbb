"""The warehouse's lanes from the side, and two of them before and after a vault is moved.

A lane is drawn with the aisle at its left: a column for each depth, a row for each level.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from loading.pictures.marks import INK
from loading.pictures.svg import (
    BOLD_SIGN_EM,
    Value,
    document,
    element,
    group,
    haloed,
    plain,
    text,
    text_width,
)
from loading.planner.pulls import StandingVault, Yard, YardLane

CELL_WIDE, CELL_HIGH = 100, 50
AISLE_WIDE = 44
GAP = 26
EDGE = 10
FONT = 26
SMALL_FONT = 21
HEADING_FONT = 30
# Pictures are no narrower than this, so that their words are as large beside a small lane.
WIDE = 700

OWN, OTHER, FREE, BARRED, MOVED = "own", "other", "free", "barred", "moved"
WORDS: dict[str, str | Promise] = {
    OWN: gettext_lazy("this shipment's vault"),
    OTHER: gettext_lazy("another customer's vault"),
    FREE: gettext_lazy("free"),
    BARRED: gettext_lazy("empty, but barred"),
    MOVED: gettext_lazy("moved now"),
}
HATCH = 12


@dataclass(frozen=True, slots=True)
class Panel:
    """Some lanes of a yard under a heading; `moved` is the vault that is told apart, `own` what
    the yard's own vaults are called."""

    heading: str
    yard: Yard
    names: tuple[str, ...]
    moved: str | None = None
    own: str = ""

    def word(self, kind: str) -> str:
        return self.own if kind == OWN and self.own else str(WORDS[kind])

    def lanes(self) -> Iterator[YardLane]:
        return (lane for lane in self.yard.lanes if lane.name in self.names)


def lanes_svg(
    yard: Yard, *, names: Sequence[str] | None = None, own: str = "", picture: str = "lanes"
) -> str:
    """The lanes with those names; without names, those in which a vault of the shipment stands.

    `own` says what the yard's own vaults are, where they are not those of one shipment.
    """
    if names is None:
        ours = set(yard.own)
        names = [lane.name for lane in yard.lanes if ours & {v.code for v in lane.vaults}]
    panel = Panel("", yard, tuple(names), own=own)
    return _drawn([panel], _("The lanes, from the side"), picture)


def move_svg(before: Yard, after: Yard, code: str, *, picture: str = "move") -> str:
    """The lanes that a vault leaves and comes to, before and after."""
    lanes = [lane for lane in (before.lane_of(code), after.lane_of(code)) if lane is not None]
    names = tuple(dict.fromkeys(lane.name for lane in lanes))
    panels = [
        Panel(_("before"), before, names, code),
        Panel(_("after"), after, names, code),
    ]
    return _drawn(panels, _("Vault %(code)s, before and after") % {"code": code}, picture)


def _drawn(panels: list[Panel], title: str, picture: str) -> str:
    wide = max([WIDE, *(_lane_wide(lane) + 2 * EDGE for p in panels for lane in p.lanes())])
    body: list[str] = [_pattern(picture)]
    kinds: set[str] = set()
    y = float(EDGE)
    for panel in panels:
        if panel.heading:
            y += HEADING_FONT
            body.append(text(panel.heading, EDGE, y, HEADING_FONT, font_weight="bold"))
            y += 8
        rows, y = _rows(panel, wide, y, picture)
        body += rows
        kinds |= _kinds(panel)
    words = {kind: panels[0].word(kind) for kind in WORDS if kind in kinds}
    legend, y = _legend(words, wide, y, picture)
    return document(wide, y + EDGE, title, _description(panels), [*body, *legend])


def _rows(panel: Panel, wide: float, y: float, picture: str) -> tuple[list[str], float]:
    """The lanes side by side as far as the picture is wide; and where the next thing begins."""
    drawn: list[str] = []
    x, high = float(EDGE), 0.0
    for lane in panel.lanes():
        if x > EDGE and x + _lane_wide(lane) > wide - EDGE:
            x, y, high = float(EDGE), y + high + GAP, 0.0
        at: dict[str, Value] = {"transform": f"translate({x:.0f} {y:.0f})", "class": "lane"}
        drawn.append(group(at, _lane(panel, lane, picture)))
        x += _lane_wide(lane) + GAP
        high = max(high, FONT * 1.3 + lane.levels * CELL_HIGH)
    return drawn, y + high + GAP


def _lane_wide(lane: YardLane) -> float:
    heading = text_width(_lane_heading(lane), FONT)
    return max(AISLE_WIDE + lane.depth * CELL_WIDE, heading)


def _lane_heading(lane: YardLane) -> str:
    return _("Lane %(name)s, %(free)d free") % {"name": lane.name, "free": lane.free}


def _lane(panel: Panel, lane: YardLane, picture: str) -> list[str]:
    top = FONT * 1.3
    bottom = top + lane.levels * CELL_HIGH
    drawn = [text(_lane_heading(lane), 0, FONT, FONT, font_weight="bold")]
    middle = (top + bottom) / 2
    turn = f"rotate(-90 {AISLE_WIDE / 2:.0f} {middle:.0f})"
    aisle: dict[str, Value] = {"text_anchor": "middle", "transform": turn}
    # In a lane one level high there is no room for the word.
    if lane.levels > 1:
        drawn.append(text(_("aisle"), AISLE_WIDE / 2, middle + 7, SMALL_FONT, **aisle))
    taken = {lane.cell_of(vault.slot): vault for vault in lane.vaults}
    for depth in range(1, lane.depth + 1):
        for level in range(1, lane.levels + 1):
            x = AISLE_WIDE + (depth - 1) * CELL_WIDE
            y = bottom - level * CELL_HIGH
            kind = _kind(panel, lane, (depth, level))
            drawn += _cell(panel, kind, taken.get((depth, level)), x, y, picture)
    floor: dict[str, Value] = {"stroke": INK, "stroke-width": 5, "fill": "none"}
    drawn.append(element("path", {"d": f"M0 {bottom:.0f}H{_floor_end(lane):.0f}", **floor}))
    return drawn


def _floor_end(lane: YardLane) -> float:
    return AISLE_WIDE + lane.depth * CELL_WIDE


def _cell(
    panel: Panel, kind: str, vault: StandingVault | None, x: float, y: float, picture: str
) -> list[str]:
    drawn = _box(kind, x + 3, y + 3, CELL_WIDE - 6, CELL_HIGH - 6, picture)
    if vault is None:
        return drawn
    if vault.code == panel.moved:
        drawn += _box(MOVED, x + 3, y + 3, CELL_WIDE - 6, CELL_HIGH - 6, picture)
    font = min(FONT, 0.82 * CELL_WIDE / (BOLD_SIGN_EM * max(1, len(vault.code))))
    weight = "bold" if kind == OWN else "normal"
    at: dict[str, Value] = {"text_anchor": "middle", "font_weight": weight}
    name = haloed(vault.code, x + CELL_WIDE / 2, y + CELL_HIGH / 2 + 0.36 * font, font, **at)
    said = element("title", {}, plain(f"{vault.code}: {panel.word(kind)}"))
    return [group({"class": kind}, [said, *drawn, name])]


def _kind(panel: Panel, lane: YardLane, cell: tuple[int, int]) -> str:
    """What stands in a cell. Empty ones behind or under others take no vault for now."""
    vault = next((vault for vault in lane.vaults if lane.cell_of(vault.slot) == cell), None)
    if vault is not None:
        return OWN if vault.code in panel.yard.own else OTHER
    slot = (lane.depth - cell[0]) * lane.levels + cell[1]
    return FREE if slot > lane.slots - lane.free else BARRED


def _box(kind: str, x: float, y: float, wide: float, high: float, picture: str) -> list[str]:
    outline: dict[str, dict[str, Value]] = {
        OWN: {"fill": "#fff", "stroke-width": 6},
        OTHER: {"fill": f"url(#{picture}-other)", "stroke-width": 2},
        FREE: {"fill": "none", "stroke-width": 2, "stroke-dasharray": "5 7"},
        BARRED: {"fill": "none", "stroke-width": 1},
        MOVED: {"fill": "none", "stroke-width": 4},
    }
    inset = 7 if kind == MOVED else 0
    at: dict[str, Value] = {"x": x + inset, "y": y + inset, "stroke": INK}
    at |= {"width": wide - 2 * inset, "height": high - 2 * inset}
    drawn = [element("rect", at | outline[kind])]
    if kind == BARRED:
        cross = f"M{x:.0f} {y:.0f}l{wide:.0f} {high:.0f}m0 {-high:.0f}l{-wide:.0f} {high:.0f}"
        drawn.append(element("path", {"d": cross, "stroke": "#777", "stroke-width": 1}))
    return drawn


def _pattern(picture: str) -> str:
    shape: dict[str, Value] = {"id": f"{picture}-other", "width": HATCH, "height": HATCH}
    ground = element("rect", {"width": HATCH, "height": HATCH, "fill": "#f4f4f4"})
    line: dict[str, Value] = {"d": f"M0 {HATCH}L{HATCH} 0", "stroke": "#999", "stroke-width": 2}
    units: dict[str, Value] = {"patternUnits": "userSpaceOnUse"}
    return element("defs", {}, element("pattern", shape | units, ground, element("path", line)))


def _kinds(panel: Panel) -> set[str]:
    kinds = {
        _kind(panel, lane, lane.cell_of(slot))
        for lane in panel.lanes()
        for slot in range(1, lane.slots + 1)
    }
    return kinds | ({MOVED} if panel.moved is not None else set())


def _legend(
    words: Mapping[str, str], wide: float, y: float, picture: str
) -> tuple[list[str], float]:
    drawn: list[str] = []
    x, high = float(EDGE), SMALL_FONT * 1.6
    for kind, word in words.items():
        room = 60 + text_width(word, SMALL_FONT) + 24
        if x > EDGE and x + room > wide:
            x, y = float(EDGE), y + high
        swatch = _box(kind, x, y, 44, 24, picture)
        if kind == MOVED:
            swatch = [*_box(OTHER, x, y, 44, 24, picture), *swatch]
        drawn.append(group({}, [*swatch, text(word, x + 54, y + 18, SMALL_FONT)]))
        x += room
    return drawn, y + high


def _description(panels: list[Panel]) -> str:
    """Every lane in words, for who cannot see the picture."""
    said = []
    for panel in panels:
        for lane in panel.lanes():
            inside = ", ".join(
                f"{vault.code} ({panel.word(_kind(panel, lane, lane.cell_of(vault.slot)))})"
                for vault in reversed(lane.vaults)
            )
            heading = f"{panel.heading}: " if panel.heading else ""
            said.append(f"{heading}{_lane_heading(lane)}, {_('nearest first')}: {inside or '-'}.")
    return " ".join(said)
