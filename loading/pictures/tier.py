"""One tier as the loader sees it: standing in the doors and looking at the nose."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loading.errors import NoSuchTier
from loading.measures import weight
from loading.pictures import marks
from loading.pictures.labels import (
    FONT_MAX,
    Pointed,
    fits,
    label,
    margin_labels,
    margin_width,
    rect_attributes,
)
from loading.pictures.marks import INK, Mark
from loading.pictures.sight import Rect, Spot, label_spot
from loading.pictures.surround import Picture, Surround
from loading.pictures.svg import Value, element, group, plain
from loading.planner.plan import Fill, LoadPlan, Placement
from loading.planner.request import Blocked, LoadRequest

WIDE_MM = 2300  # a truck of usual width
SLIT_MM = 15  # what shows less than this is not worth pointing at


# With states, what is not in yet lies over what is, and what goes in now over all.
_LAYERS = {"later": 1, "next": 2, "now": 3}


@dataclass(frozen=True, slots=True)
class Shown:
    """A thing in the picture. `front_mm` is its x nearest the doors; guests lie over their host."""

    key: str
    said: str
    more: tuple[str, ...]
    told: str
    mark: Mark
    rect: Rect
    front_mm: int
    fragile: bool = False
    inside: bool = False
    labelled: bool = True


def tier_svg(
    request: LoadRequest,
    plan: LoadPlan,
    tier: int,
    *,
    highlight: str | None = None,
    states: Mapping[str, str] | None = None,
    units: str = "metric",
    explained: bool = True,
) -> str:
    """The tier to scale in millimetres, left wall left, every piece outlined with its tag.

    What stands deeper is drawn first; a piece of which nothing is seen is named in the caption.
    `highlight` is a tag that is drawn dark; `states` give pieces and fills a class, for pages that
    tell what is in from what comes next: in, now, next, later, cannot. `units` are metric or
    imperial. Legend and hidden pieces are written below unless `explained` is False: a page that
    lists the pieces beside the picture tells them larger. Raises `NoSuchTier`.
    """
    states = states or {}
    shown = sorted(
        _shown(request, plan, tier, units),
        key=lambda one: (_LAYERS.get(states.get(one.key, ""), 0), one.inside, one.front_mm),
    )
    spots = [
        label_spot(one.rect, [over.rect for over in shown[n + 1 :]], len(one.said))
        for n, one in enumerate(shown)
    ]
    name = f"tier{tier}"
    hidden = [one for one, spot in zip(shown, spots, strict=True) if not _is_seen(spot)]
    pointed = list(_pointed(shown, spots))
    width, height = request.truck.interior_mm[1:]
    body = [
        *(_drawn(one, name, dark=one.key == highlight, state=states.get(one.key)) for one in shown),
        margin_labels(pointed, width, height),
        *_labels(shown, spots, highlight),
    ]
    return Surround(
        width_mm=width,
        height_mm=height,
        margins_mm=(margin_width(pointed),) * 2,
        title=_("Tier %(tier)s of %(tiers)s, seen from the doors")
        % {"tier": tier, "tiers": _tiers(plan)},
        description=_description(shown),
        legend=_legend(shown) if explained else [],
        notes=[_hidden_note(hidden)] if hidden and explained else [],
        sides=(_("left wall"), _("right wall")),
        units=units,
        # In a narrow box a millimetre is drawn larger, and so would be what is written around it.
        zoom=min(1.0, width / WIDE_MM),
    ).around(Picture(name, body))


def _tiers(plan: LoadPlan) -> int:
    numbers = {placed.tier for placed in plan.placements} | {fill.tier for fill in plan.fills}
    return max(numbers, default=0)


def _shown(request: LoadRequest, plan: LoadPlan, tier: int, units: str) -> Iterator[Shown]:
    pieces = [placed for placed in plan.placements if placed.tier == tier]
    fills = [fill for fill in plan.fills if fill.tier == tier]
    if not pieces and not fills:
        raise NoSuchTier(tier, _tiers(plan))
    height = request.truck.interior_mm[2]
    stops = len({item.stop for item in request.items}) > 1
    for placed in pieces:
        yield _piece(request, placed, height, units, stops=stops)
    for fill in fills:
        yield _fill(fill, height)
    bodies: list[Placement | Fill] = [*pieces, *fills]
    begin = min(body.at_mm[0] for body in bodies)
    end = max(body.at_mm[0] + body.size_mm[0] for body in bodies)
    for box in request.truck.blocked:
        if box.at_mm[0] < end and begin < box.at_mm[0] + box.size_mm[0]:
            yield _blocked(box, height)


def _piece(
    request: LoadRequest, placed: Placement, height: int, units: str, *, stops: bool
) -> Shown:
    item = request.item(placed.tag)
    stop = [_("stop %s") % item.stop] if stops else []
    level = [_(placed.level)] if placed.level else []
    words = level + stop + ([_("fragile")] if item.fragile else [])
    return Shown(
        key=placed.tag,
        said=placed.tag,
        more=(*stop, item.name, *level),
        told=", ".join([f"{placed.tag} {item.name}", weight(item.weight_g, units), *words]),
        mark=marks.mark_of(item),
        rect=_rect(placed, height),
        front_mm=placed.at_mm[0] + placed.size_mm[0],
        fragile=item.fragile,
        inside=placed.inside is not None,
    )


def _fill(fill: Fill, height: int) -> Shown:
    pads = ngettext("%s pad", "%s pads", fill.pads) % fill.pads
    return Shown(
        key=f"fill {fill.fill}",
        said=f"F{fill.fill}",
        more=(pads,),
        told=_("fill %(fill)s, %(pads)s") % {"fill": fill.fill, "pads": pads},
        mark=marks.FILL,
        rect=_rect(fill, height),
        front_mm=fill.at_mm[0] + fill.size_mm[0],
    )


def _blocked(box: Blocked, height: int) -> Shown:
    return Shown(
        key=box.name,
        said=box.name,
        more=(),
        told=box.name,
        mark=marks.BLOCKED,
        rect=_rect(box, height),
        front_mm=box.at_mm[0] + box.size_mm[0],
        labelled=False,
    )


def _rect(body: Placement | Fill | Blocked, height: int) -> Rect:
    (_, y, z), (_, across, high) = body.at_mm, body.size_mm
    return Rect(y, height - z - high, across, high)


def _drawn(one: Shown, picture: str, *, dark: bool, state: str | None = None) -> str:
    kind = "piece" if one.mark not in (marks.FILL, marks.BLOCKED) else one.mark.name
    outline: dict[str, Value] = {
        **rect_attributes(one.rect),
        "fill": INK if dark else marks.paint(one.mark, picture),
        "stroke": INK,
        "stroke-width": 10 if kind == "piece" else 6,
    }
    if one.inside:
        outline |= marks.LINES["inside"]
    parts = [element("title", {}, plain(one.told)), element("rect", outline)]
    if one.fragile:
        parts.append(_inner_outline(one.rect, dark=dark))
    classes = f"{kind} is-{state}" if state else kind
    return group({"class": classes, "data-key": one.key}, parts)


def _inner_outline(rect: Rect, *, dark: bool) -> str:
    inset = min(18, rect.width // 4, rect.height // 4)
    inner = Rect(rect.x + inset, rect.y + inset, rect.width - 2 * inset, rect.height - 2 * inset)
    line: dict[str, Value] = {"stroke": "#fff" if dark else INK, "stroke-width": 5, "fill": "none"}
    return element("rect", {**rect_attributes(inner), **line, "class": "fragile"})


def _labels(shown: list[Shown], spots: list[Spot | None], dark: str | None) -> Iterator[str]:
    for one, spot in zip(shown, spots, strict=True):
        if spot is not None and one.labelled and fits(spot):
            capped = Spot(spot.rect, min(spot.font, FONT_MAX), spot.turned)
            yield label(one.said, list(one.more), capped, on_black=one.key == dark)


def _pointed(shown: list[Shown], spots: list[Spot | None]) -> Iterator[Pointed]:
    for one, spot in zip(shown, spots, strict=True):
        if spot is not None and one.labelled and _is_seen(spot) and not fits(spot):
            yield Pointed(one.said, *spot.rect.middle)


def _is_seen(spot: Spot | None) -> bool:
    return spot is not None and min(spot.rect.width, spot.rect.height) >= SLIT_MM


def _description(shown: list[Shown]) -> str:
    return (
        _("Drawn to scale, from the nose to the doors:")
        + " "
        + "; ".join(one.told for one in shown)
    )


def _hidden_note(hidden: list[Shown]) -> str:
    return _("Hidden behind others:") + " " + "; ".join(one.told for one in hidden)


def _legend(shown: list[Shown]) -> list[Mark]:
    there = {one.mark for one in shown}
    there |= {marks.FRAGILE for one in shown if one.fragile}
    there |= {marks.INSIDE for one in shown if one.inside}
    return [mark for mark in marks.MARKS if mark in there]
