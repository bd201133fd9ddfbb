"""The whole truck from the side and from above, its tiers told apart, its supports below."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from loading.pictures import marks
from loading.pictures.labels import rect_attributes
from loading.pictures.marks import BLOCKED, FILL, INK
from loading.pictures.sight import Rect, label_spot
from loading.pictures.surround import Picture, Surround
from loading.pictures.svg import element, group, haloed, plain, text, text_width
from loading.planner.plan import Fill, LoadPlan, Placement
from loading.planner.request import Blocked, LoadRequest, Support

TAG_FONT_MIN = 60
TAG_FONT_MAX = 130
TIER_FONT = 190
SHADES = ("#ffffff", "#e6e6e6")  # of tiers with odd and even numbers
SUPPORT_MM = 160
SUPPORT_FONT = 120
ZOOM = 1.8  # a truck is that much wider than a tier

Body = Placement | Fill | Blocked


@dataclass(frozen=True, slots=True)
class View:
    """A side to look from: where a body is drawn, and how near it is to the eye."""

    name: str
    rect: Callable[[Body], Rect]
    nearness: Callable[[Body], int]


def truck_side_svg(request: LoadRequest, plan: LoadPlan, *, units: str = "metric") -> str:
    """Seen from the left, nose at the left: length and height to scale."""
    height = request.truck.interior_mm[2]

    def rect(body: Body) -> Rect:
        (x, _, z), (deep, _, high) = body.at_mm, body.size_mm
        return Rect(x, height - z - high, deep, high)

    view = View("side", rect, lambda body: -body.at_mm[1])
    return _truck(request, plan, view, height, _("seen from the left side"), units, supports=True)


def truck_top_svg(request: LoadRequest, plan: LoadPlan, *, units: str = "metric") -> str:
    """Seen from above, nose at the left, so that the left wall lies below."""
    width = request.truck.interior_mm[1]

    def rect(body: Body) -> Rect:
        (x, y, _), (deep, across, _) = body.at_mm, body.size_mm
        return Rect(x, width - y - across, deep, across)

    view = View("top", rect, lambda body: body.at_mm[2] + body.size_mm[2])
    return _truck(request, plan, view, width, _("seen from above"), units, supports=False)


def _truck(
    request: LoadRequest,
    plan: LoadPlan,
    view: View,
    high: int,
    seen: str,
    units: str,
    *,
    supports: bool,
) -> str:
    length = request.truck.interior_mm[0]
    bodies: list[Body] = sorted(
        [*request.truck.blocked, *plan.fills, *plan.placements], key=view.nearness
    )
    return Surround(
        width_mm=length,
        height_mm=high,
        margins_mm=_margins(request) if supports else (0, 0),
        title=f"{request.truck.name}, {seen}",
        description=_description(plan),
        legend=[FILL] * bool(plan.fills) + [BLOCKED] * bool(request.truck.blocked),
        notes=[] if supports else [_("The left wall is below, the right wall above.")],
        sides=(_("nose"), _("doors")),
        units=units,
        zoom=ZOOM,
        over_mm=1.3 * TIER_FONT,
        under_mm=2.4 * SUPPORT_MM if supports else 0,
    ).around(
        Picture(
            view.name,
            [
                *_bodies(bodies, view),
                *_tags(bodies, view),
                *_tier_numbers(plan),
                *(_support(s, high) for s in request.truck.supports if supports),
            ],
        )
    )


def _bodies(bodies: list[Body], view: View) -> Iterator[str]:
    for body in bodies:
        outline = {
            **rect_attributes(view.rect(body)),
            "fill": _ground(body, view.name),
            "stroke": INK,
            "stroke-width": 8,
        }
        kind = "piece" if isinstance(body, Placement) else "other"
        titled = element("title", {}, plain(_told(body)))
        yield group({"class": kind, "data-key": _key(body)}, [titled, element("rect", outline)])


def _ground(body: Body, picture: str) -> str:
    if isinstance(body, Placement):
        return SHADES[(body.tier + 1) % 2]
    return marks.paint(FILL if isinstance(body, Fill) else BLOCKED, picture)


def _key(body: Body) -> str:
    if isinstance(body, Placement):
        return body.tag
    return f"fill {body.fill}" if isinstance(body, Fill) else body.name


def _told(body: Body) -> str:
    return _key(body) if isinstance(body, Blocked) else f"{_key(body)}, {_('tier %s') % body.tier}"


def _tags(bodies: list[Body], view: View) -> Iterator[str]:
    rects = [view.rect(body) for body in bodies]
    for n, body in enumerate(bodies):
        if not isinstance(body, Placement):
            continue
        spot = label_spot(rects[n], rects[n + 1 :], len(body.tag))
        if spot is None or spot.font < TAG_FONT_MIN:
            continue
        font = min(spot.font, TAG_FONT_MAX)
        x, y = spot.rect.middle
        turn = f"rotate(-90 {x:.1f} {y:.1f})" if spot.turned else "rotate(0)"
        yield haloed(body.tag, x, y + 0.35 * font, font, text_anchor="middle", transform=turn)


def _tier_numbers(plan: LoadPlan) -> Iterator[str]:
    """Over each tier its number, in the middle of where it stands."""
    spans: dict[int, tuple[int, int]] = {}
    for placed in plan.placements:
        begin, end = placed.at_mm[0], placed.at_mm[0] + placed.size_mm[0]
        low, high = spans.get(placed.tier, (begin, end))
        spans[placed.tier] = min(low, begin), max(high, end)
    for tier, (begin, end) in sorted(spans.items()):
        said = str(tier)
        yield text(
            said, (begin + end) / 2, -75, TIER_FONT, text_anchor="middle", font_weight="bold"
        )
        foot = -12 if tier % 2 else -34  # neighbours overlap in x: their brackets must not
        bracket = f"M{begin + 15} {foot}v-20H{end - 15}v20"
        yield element("path", {"d": bracket, "stroke": INK, "stroke-width": 8, "fill": "none"})


def _support(support: Support, deck_mm: int) -> str:
    """A triangle under the deck where the chassis carries the box."""
    x, y, half = support.x_mm, deck_mm + 20, SUPPORT_MM // 2
    triangle = f"M{x} {y}l{half} {SUPPORT_MM}h{-2 * half}z"
    return group(
        {"class": "support"},
        [
            element("path", {"d": triangle, "fill": INK}),
            text(
                support.name, x, y + SUPPORT_MM + SUPPORT_FONT, SUPPORT_FONT, text_anchor="middle"
            ),
        ],
    )


def _margins(request: LoadRequest) -> tuple[float, float]:
    """Room for supports that stand before the nose or behind the doors, with their names."""
    length = request.truck.interior_mm[0]
    halves = [(s.x_mm, text_width(s.name, SUPPORT_FONT) / 2) for s in request.truck.supports]
    left = max(half - x for x, half in halves)
    right = max(x + half - length for x, half in halves)
    return max(left, 0.0), max(right, 0.0)


def _description(plan: LoadPlan) -> str:
    tiers: dict[int, list[str]] = {}
    for placed in plan.placements:
        tiers.setdefault(placed.tier, []).append(placed.tag)
    told = [f"{_('tier %s') % tier}: {', '.join(tags)}" for tier, tags in sorted(tiers.items())]
    return _("Drawn to scale, nose to the left.") + " " + "; ".join(told)
