"""Pictures: well-formed, to scale, complete, honest about what cannot be seen, and escaped."""

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from loading.errors import NoSuchTier
from loading.pictures import tier_svg, truck_side_svg, truck_top_svg
from loading.pictures.labels import FONT_MIN
from loading.pictures.sight import Rect, label_spot
from loading.planner.plan import Fill, LoadPlan, Placement
from loading.planner.request import (
    Blocked,
    Dock,
    Item,
    LoadRequest,
    Opening,
    Support,
    Truck,
)

SVG = "{http://www.w3.org/2000/svg}"
WIDTH, HEIGHT = 2400, 2200


def item(tag: str, **changed: object) -> Item:
    given: dict[str, object] = {
        "tag": tag,
        "name": "carton",
        "size_mm": (500, 500, 500),
        "weight_g": 10_000,
        "postures": ("standing",),
        "wrap": False,
        "bears_g": 0,
        "level": None,
        "fragile": False,
        "carton": True,
        "soft": False,
        "openings": (),
        "stop": 1,
        "set_name": None,
        "last_on": False,
    }
    return Item(**(given | changed))


def request_of(*items: Item, blocked: tuple[Blocked, ...] = ()) -> LoadRequest:
    truck = Truck(
        name="Truck & Son",
        interior_mm=(6000, WIDTH, HEIGHT),
        payload_g=3_000_000,
        ride="air",
        door_mm=(2300, 2100),
        blocked=blocked,
        supports=(
            Support("front axle", -1300, 1_000_000, 3_000_000),
            Support("rear axle", 4000, 1_000_000, 4_000_000),
        ),
        pads=None,
    )
    return LoadRequest("drawn", truck, 10, Dock(1, 10_000_000), (), (), (), None, 12, items)


def placed(tag: str, at_mm, size_mm=(500, 500, 500), *, tier=1, level="base", inside=None):
    return Placement(tag, tier, level, at_mm, size_mm, "standing", inside)


def plan_of_pieces(*placements: Placement, fills: tuple[Fill, ...] = ()) -> LoadPlan:
    return LoadPlan("drawn", (), placements, fills)


def drawn(svg: str) -> dict[str, ET.Element]:
    """The outline of each thing in a picture, by its key."""
    root = ET.fromstring(svg)
    groups = [g for g in root.iter(f"{SVG}g") if "data-key" in g.attrib]
    return {g.get("data-key"): g.find(f"{SVG}rect") for g in groups}


def corners(rect: ET.Element) -> tuple[int, int, int, int]:
    return tuple(int(rect.get(key)) for key in ("x", "y", "width", "height"))


def written(svg: str) -> list[str]:
    return [text.text for text in ET.fromstring(svg).iter(f"{SVG}text")]


# A tier with something of everything: in front and behind, small, inside, fragile, stops, a fill.
DESK = item(
    "010",
    name="desk",
    size_mm=(600, 1200, 750),
    carton=False,
    openings=(Opening((0, 100, 0), (600, 600, 600)),),
)
RICH = request_of(
    item("001", level="base"),
    item("002", name="lamp <b>&", fragile=True, stop=2),
    item("003", size_mm=(500, 40, 500)),
    item("004", size_mm=(300, 300, 300)),
    DESK,
    item("011", size_mm=(300, 300, 300)),
    item("012", carton=False, soft=True),
    blocked=(
        Blocked("wheel box", (0, 2270, 0), (1000, 130, 240)),
        Blocked("far box", (5000, 0, 0), (500, 100, 100)),
    ),
)
RICH_PLAN = plan_of_pieces(
    placed("001", (500, 0, 0)),
    placed("002", (0, 520, 600)),
    placed("003", (0, 1100, 900), (500, 40, 500)),
    placed("004", (0, 100, 100), (300, 300, 300)),
    placed("010", (0, 1000, 0), (600, 1200, 750)),
    placed("011", (100, 1150, 0), (300, 300, 300), inside="010"),
    placed("012", (0, 1700, 1000)),
    placed("099", (2000, 0, 0), tier=2),
    fills=(Fill(1, 1, (0, 2300, 900), (500, 60, 700), 1),),
)


def test_every_rectangle_is_where_its_placement_is():
    rects = drawn(tier_svg(RICH, RICH_PLAN, 1))
    for one in (p for p in RICH_PLAN.placements if p.tier == 1):
        (_, y, z), (_, across, high) = one.at_mm, one.size_mm
        assert corners(rects[one.tag]) == (y, HEIGHT - z - high, across, high)
    assert corners(rects["fill 1"]) == (2300, HEIGHT - 900 - 700, 60, 700)


def test_scene_is_moved_but_not_scaled():
    root = ET.fromstring(tier_svg(RICH, RICH_PLAN, 1))
    scene = next(g for g in root.iter(f"{SVG}g") if g.get("class") == "scene")
    assert re.fullmatch(r"translate\(\d+ \d+\)", scene.get("transform"))
    bar = next(p for p in root.iter(f"{SVG}path") if p.get("class") == "scale")
    assert "h1000" in bar.get("d")


def test_picture_holds_the_scene_whole():
    root = ET.fromstring(tier_svg(RICH, RICH_PLAN, 1))
    _, _, width, height = map(float, root.get("viewBox").split())
    scene = next(g for g in root.iter(f"{SVG}g") if g.get("class") == "scene")
    left, top = map(float, re.findall(r"\d+", scene.get("transform")))
    assert left + WIDTH <= width
    assert top + HEIGHT <= height


def test_left_wall_is_on_the_left():
    rects = drawn(tier_svg(RICH, RICH_PLAN, 1))
    assert corners(rects["001"])[0] == 0
    assert corners(rects["wheel box"]) == (2270, HEIGHT - 240, 130, 240)
    texts = written(tier_svg(RICH, RICH_PLAN, 1))
    assert texts.index("left wall") < texts.index("right wall")


def test_every_tag_of_the_tier_is_written_and_no_other():
    texts = " ".join(written(tier_svg(RICH, RICH_PLAN, 1)))
    assert set(re.findall(r"\b0\d\d\b", texts)) == {"001", "002", "003", "004", "010", "011", "012"}


def test_nearer_things_are_drawn_over_deeper_ones_and_guests_over_their_host():
    order = list(drawn(tier_svg(RICH, RICH_PLAN, 1)))
    assert order.index("004") < order.index("001")
    assert order.index("010") < order.index("011")


def test_hidden_piece_is_named_in_the_caption():
    texts = written(tier_svg(RICH, RICH_PLAN, 1))
    caption = " ".join(texts[next(n for n, t in enumerate(texts) if t.startswith("Hidden")) :])
    assert "004 carton" in caption
    assert "001" not in caption


def test_thin_piece_is_pointed_at_from_the_margin():
    root = ET.fromstring(tier_svg(RICH, RICH_PLAN, 1))
    margin = next(g for g in root.iter(f"{SVG}g") if g.get("class") == "margin")
    assert {text.text for text in margin.iter(f"{SVG}text")} == {"003", "F1"}


def test_no_tag_is_smaller_than_can_be_read_on_a_phone():
    root = ET.fromstring(tier_svg(RICH, RICH_PLAN, 1))
    labels = [g for g in root.iter(f"{SVG}g") if g.get("class") == "label"]
    assert len(labels) == 7
    for label in labels:
        assert float(label.find(f"{SVG}text").get("font-size")) >= FONT_MIN


def test_kinds_are_told_by_pattern_and_word():
    svg = tier_svg(RICH, RICH_PLAN, 1)
    grounds = {key: rect.get("fill") for key, rect in drawn(svg).items()}
    assert grounds["001"] == "url(#tier1-carton)"
    assert grounds["010"] == "url(#tier1-furniture)"
    assert grounds["012"] == "url(#tier1-soft)"
    assert grounds["fill 1"] == "url(#tier1-fill)"
    assert grounds["wheel box"] == "url(#tier1-blocked)"
    ids = {p.get("id") for p in ET.fromstring(svg).iter(f"{SVG}pattern")}
    assert {ground[5:-1] for ground in grounds.values()} <= ids
    words = {"carton", "furniture", "soft", "rolled pads", "part of the truck"}
    assert words <= set(written(svg))


def test_only_blocked_boxes_beside_the_tier_are_drawn():
    assert "far box" not in drawn(tier_svg(RICH, RICH_PLAN, 1))


def test_stops_are_written_when_there_are_several():
    assert "stop 2" in written(tier_svg(RICH, RICH_PLAN, 1))
    single = request_of(item("001"))
    assert "stop" not in tier_svg(single, plan_of_pieces(placed("001", (0, 0, 0))), 1)


def test_fragile_piece_has_a_second_outline_within():
    root = ET.fromstring(tier_svg(RICH, RICH_PLAN, 1))
    (inner,) = (r for r in root.iter(f"{SVG}rect") if r.get("class") == "fragile")
    x, y, width, height = corners(inner)
    assert 520 < x < x + width < 1020
    assert 1100 < y < y + height < 1600
    assert "fragile: nothing on it" in written(tier_svg(RICH, RICH_PLAN, 1))


def test_highlight_makes_one_piece_dark():
    plain, dark = (drawn(tier_svg(RICH, RICH_PLAN, 1, highlight=tag)) for tag in (None, "001"))
    changed = {key for key in plain if plain[key].get("fill") != dark[key].get("fill")}
    assert changed == {"001"}


def test_all_text_from_outside_is_escaped():
    names = ["<script>alert(1)</script>", '" onload="x', "a & b", "bell \x07 and \ufffe"]
    for name in names:
        request = request_of(item("001", name=name), blocked=(Blocked(name, (0, 0, 0), (9, 9, 9)),))
        plan = plan_of_pieces(placed("001", (0, 100, 0)))
        truck = replace(request, truck=replace(request.truck, name=name))
        for svg in (tier_svg(truck, plan, 1), truck_side_svg(truck, plan)):
            root = ET.fromstring(svg)
            assert not [e for e in root.iter() if e.tag.lower().endswith("script")]
            assert not [e for e in root.iter() if "onload" in e.attrib]


def test_tier_that_is_not_there_is_refused():
    with pytest.raises(NoSuchTier, match="tiers 1 to 2, not 7"):
        tier_svg(RICH, RICH_PLAN, 7)


def test_title_and_description_are_there_for_who_cannot_see():
    root = ET.fromstring(tier_svg(RICH, RICH_PLAN, 1))
    assert root.get("role") == "img"
    assert root.find(f"{SVG}title").text == "Tier 1 of 2, seen from the doors"
    assert "010 desk, 10.0 kg" in root.find(f"{SVG}desc").text


def test_truck_from_the_side_is_to_scale_with_its_supports():
    svg = truck_side_svg(RICH, RICH_PLAN)
    rects = drawn(svg)
    for one in RICH_PLAN.placements:
        (x, _, z), (deep, _, high) = one.at_mm, one.size_mm
        assert corners(rects[one.tag]) == (x, HEIGHT - z - high, deep, high)
    assert {"front axle", "rear axle", "nose", "doors", "1", "2"} <= set(written(svg))
    triangles = [
        group.find(f"{SVG}path").get("d")
        for group in ET.fromstring(svg).iter(f"{SVG}g")
        if group.get("class") == "support"
    ]
    assert [re.match(r"M(-?\d+) ", d).group(1) for d in triangles] == ["-1300", "4000"]


def test_truck_from_above_has_the_left_wall_below():
    rects = drawn(truck_top_svg(RICH, RICH_PLAN))
    for one in RICH_PLAN.placements:
        (x, y, _), (deep, across, _) = one.at_mm, one.size_mm
        assert corners(rects[one.tag]) == (x, WIDTH - y - across, deep, across)


# ── Where a label goes ──────────────────────────────────────────────────────────────────────────
def test_label_takes_the_whole_of_what_is_free():
    assert label_spot(Rect(0, 0, 100, 50), [], 3).rect == Rect(0, 0, 100, 50)


def test_label_goes_beside_what_hides_the_middle():
    spot = label_spot(Rect(0, 0, 300, 100), [Rect(0, 0, 200, 100)], 3)
    assert spot.rect == Rect(200, 0, 100, 100)


def test_label_goes_above_a_low_thing():
    spot = label_spot(Rect(0, 0, 300, 300), [Rect(-10, 200, 400, 400)], 3)
    assert spot.rect == Rect(0, 0, 300, 200)


def test_narrow_place_turns_the_label():
    assert label_spot(Rect(0, 0, 80, 400), [], 3).turned
    assert not label_spot(Rect(0, 0, 400, 80), [], 3).turned


def test_nothing_seen_takes_no_label():
    halves = [Rect(-1, -1, 51, 200), Rect(50, -1, 60, 200)]
    assert label_spot(Rect(0, 0, 100, 100), halves, 3) is None
