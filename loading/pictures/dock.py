"""The dock over the steps of a plan: how full its floor is, which vault stands on which spot."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from loading.measures import area
from loading.pictures.marks import INK
from loading.pictures.svg import Value, document, element, group, haloed, text, text_width
from loading.planner.dockside import Timeline

WIDE = 700
EDGE = 10
LEFT = 88  # for the numbers of the floor's scale
CHART_HIGH = 200
ROW_HIGH = 32
FONT = 21
TITLE_FONT = 26
THIN: dict[str, Value] = {"stroke": INK, "stroke-width": 2, "fill": "none"}


@dataclass(frozen=True, slots=True)
class Scale:
    """From steps and areas to the picture."""

    steps: int
    most_mm2: int

    def x(self, step: float) -> float:
        return LEFT + (WIDE - LEFT - EDGE) * step / max(1, self.steps)

    def y(self, area_mm2: int) -> float:
        return CHART_HIGH * (1 - area_mm2 / max(1, self.most_mm2))


def dock_svg(
    timeline: Timeline, closings: Sequence[tuple[int, int]] = (), *, units: str = "metric"
) -> str:
    """`closings` are the step at which a tier is closed, and the tier."""
    most = max(timeline.floor_mm2, timeline.peak.floor_mm2)
    scale = Scale(len(timeline.moments) - 1, round(1.08 * most))
    top = TITLE_FONT * 2.2
    below = top + CHART_HIGH + 3.2 * FONT
    spots = _("Vaults on the dock, at most %(most)d of %(spots)d spots taken") % {
        "most": timeline.spots_peak,
        "spots": timeline.vault_spots,
    }
    body = [
        _pattern(),
        text(_("Dock floor taken, step by step"), EDGE, TITLE_FONT, TITLE_FONT, font_weight="bold"),
        group({"transform": f"translate(0 {top:.0f})"}, _chart(timeline, closings, scale, units)),
        text(spots, EDGE, below + FONT, FONT, font_weight="bold"),
    ]
    y = below + 1.6 * FONT
    for code, came, left in _stays(timeline):
        body.append(_bar(code, came, left, scale, y))
        y += ROW_HIGH
    return document(WIDE, y + EDGE, _("The dock over time"), _described(timeline, units), body)


def _chart(
    timeline: Timeline, closings: Sequence[tuple[int, int]], scale: Scale, units: str
) -> list[str]:
    outline = f"M{scale.x(0):.1f} {CHART_HIGH}"
    for moment in timeline.moments:
        outline += f"H{scale.x(max(0, moment.step - 0.5)):.1f}V{scale.y(moment.floor_mm2):.1f}"
    outline += f"H{scale.x(scale.steps):.1f}V{CHART_HIGH}Z"
    limit = scale.y(timeline.floor_mm2)
    dashed: dict[str, Value] = {**THIN, "stroke-width": 4, "stroke-dasharray": "14 8"}
    return [
        element("path", {"d": outline, "fill": "url(#dock-floor)", **_line(3)}),
        element("path", {"d": f"M{LEFT} {limit:.1f}H{WIDE - EDGE}", **dashed}),
        text(
            _("floor: %(area)s") % {"area": area(timeline.floor_mm2, units)},
            *(WIDE - EDGE, limit - 8, FONT),
            text_anchor="end",
        ),
        *_axis(timeline, closings, scale, units),
        _peak(timeline, scale, units),
    ]


def _line(width: int) -> dict[str, Value]:
    return {"stroke": INK, "stroke-width": width}


def _axis(
    timeline: Timeline, closings: Sequence[tuple[int, int]], scale: Scale, units: str
) -> list[str]:
    """The scale at the left, and below the chart the steps at which a tier is closed."""
    half = timeline.floor_mm2 // 2
    at_left: dict[str, Value] = {"text_anchor": "end"}
    drawn = [
        element("path", {"d": f"M{LEFT} 0V{CHART_HIGH}H{WIDE - EDGE}", **THIN}),
        text("0", LEFT - 8, CHART_HIGH, FONT, **at_left),
        text(area(half, units), LEFT - 8, scale.y(half) + 7, FONT * 0.8, **at_left),
    ]
    last = -100.0
    for step, tier in closings:
        x = scale.x(step)
        drawn.append(element("path", {"d": f"M{x:.1f} {CHART_HIGH}v10", **THIN}))
        if x - last > 34:
            said: dict[str, Value] = {"text_anchor": "middle"}
            drawn.append(text(str(tier), x, CHART_HIGH + 10 + FONT, FONT, **said))
            last = x
    label = (
        _("above: the tier closed at that step")
        if closings
        else _("%(steps)d steps") % {"steps": scale.steps}
    )
    drawn.append(text(label, EDGE, CHART_HIGH + 2.2 * FONT + 10, FONT))
    return drawn


def _peak(timeline: Timeline, scale: Scale, units: str) -> str:
    peak = timeline.peak
    x, y = scale.x(peak.step), scale.y(peak.floor_mm2)
    said = _("peak %(area)s at step %(step)d") % {
        "area": area(peak.floor_mm2, units),
        "step": peak.step,
    }
    half = text_width(said, FONT) / 2
    middle = min(max(x, LEFT + half + 8), WIDE - EDGE - half)
    low = CHART_HIGH - FONT
    leader: dict[str, Value] = {**THIN, "stroke-dasharray": "3 5"}
    return group(
        {"class": "peak"},
        [
            element("path", {"d": f"M{x:.1f} {y:.1f}V{low - FONT:.1f}", **leader}),
            element("circle", {"cx": x, "cy": y, "r": 7, "fill": INK}),
            haloed(said, middle, low, FONT, text_anchor="middle", font_weight="bold"),
        ],
    )


def _stays(timeline: Timeline) -> list[tuple[str, int, int]]:
    """Each vault with the steps at which it came and left, the first first."""
    end = len(timeline.moments) - 1
    stays = [
        (wait.what, wait.came, end if wait.left is None else wait.left)
        for wait in timeline.waits
        if wait.is_vault
    ]
    return sorted(stays, key=lambda stay: stay[1])


def _bar(code: str, came: int, left: int, scale: Scale, y: float) -> str:
    x, end = scale.x(came - 0.5), scale.x(left - 0.5)
    box: dict[str, Value] = {"x": x, "y": y, "width": max(3.0, end - x), "height": ROW_HIGH - 8}
    drawn = [element("rect", box | {"fill": "url(#dock-vault)", **_line(3)})]
    wide = 1.15 * text_width(code, FONT)
    at: tuple[float, dict[str, Value]] = (end + 6, {})
    if wide < end - x:
        at = (x + end) / 2, {"text_anchor": "middle"}
    elif end + wide > WIDE - EDGE:
        at = x - 6, {"text_anchor": "end"}
    drawn.append(haloed(code, at[0], y + ROW_HIGH / 2 + 3, FONT, font_weight="bold", **at[1]))
    return group({"class": "vault"}, drawn)


def _pattern() -> str:
    size: dict[str, Value] = {"width": 12, "height": 12, "patternUnits": "userSpaceOnUse"}
    ground = element("rect", {"width": 12, "height": 12, "fill": "#eee"})
    dot = element("circle", {"cx": 6, "cy": 6, "r": 2, "fill": "#888"})
    line = element("path", {"d": "M0 12L12 0", "stroke": "#aaa", "stroke-width": 2})
    return element(
        "defs",
        {},
        element("pattern", {"id": "dock-floor", **size}, ground, dot),
        element("pattern", {"id": "dock-vault", **size}, ground, line),
    )


def _described(timeline: Timeline, units: str) -> str:
    return _("The floor is fullest at step %(step)d: %(area)s of %(floor)s, %(pieces)d pieces.") % {
        "step": timeline.peak.step,
        "area": area(timeline.peak.floor_mm2, units),
        "floor": area(timeline.floor_mm2, units),
        "pieces": timeline.peak.pieces,
    }
