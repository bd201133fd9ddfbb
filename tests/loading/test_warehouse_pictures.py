"""Pictures of lanes and dock: complete, told apart without colour, before and after each move."""

from xml.etree import ElementTree as ET

from loading.pictures import dock_svg, lanes_svg, move_svg, warehouse_pictures
from loading.planner.dockside import timeline
from loading.planner.plan import LoadPlan
from loading.planner.pulls import Yard
from tests.loading.planner.dockside.docks import plan_of, request_of
from tests.loading.planner.pulls.yards import yard

SVG = "{http://www.w3.org/2000/svg}"

# Lane A holds V1 behind X1, above which a slot was skipped; B and C hold no vault of ours.
LANES = yard(("A", 2, 2, "V1 . X1"), ("B", 1, 2, "X2"), ("C", 1, 1, ""))


def read(picture: str) -> ET.Element:
    return ET.fromstring(picture)


def said(root: ET.Element) -> list[str]:
    return [found.text or "" for found in root.iter(f"{SVG}text")]


def cells(root: ET.Element, kind: str) -> list[str]:
    """The codes of the vaults that are drawn in one way."""
    groups = [found for found in root.iter(f"{SVG}g") if found.get("class") == kind]
    return [text.text or "" for found in groups for text in found.iter(f"{SVG}text")]


def panels(before: Yard, after: Yard, code: str) -> tuple[str, str]:
    """What is written before and after the heading of the second panel."""
    words = said(read(move_svg(before, after, code)))
    split = words.index("after")
    return " ".join(words[:split]), " ".join(words[split:])


def test_lanes_of_the_shipment_are_drawn_with_all_that_stands_in_them() -> None:
    root = read(lanes_svg(LANES))
    assert (cells(root, "own"), cells(root, "other")) == (["V1"], ["X1"])
    assert "Lane A, 1 free" in said(root)
    assert not any("Lane B" in line for line in said(root))


def test_named_lanes_are_drawn_whoevers_vaults_they_hold() -> None:
    root = read(lanes_svg(LANES, names=("B", "C")))
    assert cells(root, "other") == ["X2"]
    assert {"Lane B, 1 free", "Lane C, 1 free"} <= set(said(root))


def test_vaults_of_several_shipments_are_called_what_they_are() -> None:
    drawn = lanes_svg(LANES, own="vault that leaves today")
    assert "vault that leaves today" in said(read(drawn))
    assert "V1: vault that leaves today" in drawn
    assert "this shipment" not in drawn


def test_own_and_others_differ_in_pattern_and_word() -> None:
    root = read(lanes_svg(LANES))
    fills = {}
    for kind in ("own", "other"):
        group = next(g for g in root.iter(f"{SVG}g") if g.get("class") == kind)
        fills[kind] = next(group.iter(f"{SVG}rect")).get("fill")
    assert fills == {"own": "#fff", "other": "url(#lanes-other)"}
    legend = {"this shipment's vault", "another customer's vault", "free", "empty, but barred"}
    assert legend <= set(said(root))


def test_the_legend_has_only_what_is_drawn() -> None:
    assert "free" not in said(read(lanes_svg(yard(("A", 1, 1, "V1")))))


def test_the_nearest_vault_stands_at_the_aisle() -> None:
    """Depth 1 is left of depth 2, level 2 above level 1."""
    root = read(lanes_svg(yard(("A", 2, 2, "V1 V2 V3"))))
    at = {t.text: (float(t.get("x", 0)), float(t.get("y", 0))) for t in root.iter(f"{SVG}text")}
    assert at["V3"][0] < at["V1"][0] == at["V2"][0]
    assert at["V2"][1] < at["V1"][1] == at["V3"][1]


def test_a_move_shows_both_lanes_before_and_after() -> None:
    after = LANES.after(plan_of("move X1 B").steps)
    first, second = panels(LANES, after, "X1")
    assert ("Lane A, 1 free" in first, "Lane B, 1 free" in first) == (True, True)
    assert ("Lane A, 3 free" in second, "Lane B, 0 free" in second) == (True, True)
    assert (first.count("X1"), second.count("X1")) == (1, 1)
    assert not any("Lane C" in words for words in (first, second))


def test_a_move_says_in_words_where_all_stands() -> None:
    after = LANES.after(plan_of("move X1 B").steps)
    told = read(move_svg(LANES, after, "X1")).findtext(f"{SVG}desc") or ""
    assert "before: Lane A, 1 free, nearest first: X1" in told
    assert "after: Lane B, 0 free, nearest first: X1" in told


def test_names_are_escaped() -> None:
    root = read(lanes_svg(yard(("A<&", 1, 1, 'V"1'))))
    assert cells(root, "own") == ['V"1']


def day() -> LoadPlan:
    return plan_of("pull V1", "unpack 1", "unpack 2", "load 2", "load 1", "close 1", "clear V1")


def test_the_dock_tells_its_peak_its_floor_and_every_vault() -> None:
    over_time = timeline(request_of({"V1": "1 2"}), day())
    words = said(read(dock_svg(over_time, [(6, 1)])))
    assert "peak 2.6 m\u00b2 at step 3" in words
    assert {"floor: 20.0 m\u00b2", "V1"} <= set(words)
    assert any("at most 1 of 1 spots" in word for word in words)


def test_the_dock_in_feet() -> None:
    over_time = timeline(request_of({"V1": "1 2"}), day())
    assert "peak 28 sq ft at step 3" in said(read(dock_svg(over_time, units="imperial")))


def test_a_higher_floor_is_drawn_higher() -> None:
    over_time = timeline(request_of({"V1": "1 2"}), day())
    root = read(dock_svg(over_time))
    outline = next(p for p in root.iter(f"{SVG}path") if p.get("fill") == "url(#dock-floor)")
    heights = [
        float(part.split("H")[0].strip("Z")) for part in (outline.get("d") or "").split("V")[1:]
    ]
    assert heights[2] == heights[4] > heights[3]


def test_a_plan_has_a_picture_for_every_move_and_every_return() -> None:
    request = request_of({"V1": "1 2", "V2": "3"}, **{"2": {"leaves": False}})
    plan = plan_of("move V2 B", "pull V1", "unpack 1", "load 1", "store V1 A")
    pictures = warehouse_pictures(request, plan)
    assert [(m.step, m.do, m.vault) for m in pictures.moves] == [
        (1, "move", "V2"),
        (5, "store", "V1"),
    ]
    ids = [found.get("id") for move in pictures.moves for found in read(move.svg).iter()]
    patterns = [name for name in ids if name is not None]
    assert len(patterns) == len(set(patterns)) == 2
