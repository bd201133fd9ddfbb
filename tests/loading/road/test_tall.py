"""Tall pieces; when a box tips is judged in test_holding_rules against the published figures."""

from loading.road.facing import Thing
from loading.road.forces import Direction
from loading.road.tall import tippers

INTERIOR = (4000, 2400, 2400)
FORWARD, REARWARD, SIDEWAYS = Direction


def wardrobe(at_mm: tuple[int, int, int], *, tag: str = "w") -> Thing:
    return Thing(tag, at_mm, (600, 900, 1900), tier=1)


def directions(*things: Thing) -> list[Direction]:
    return [tipper.direction for tipper in tippers(things, INTERIOR) if tipper.tag == "w"]


def test_alone_in_the_middle_it_tips_every_way() -> None:
    assert directions(wardrobe((1500, 700, 0))) == [FORWARD, REARWARD, SIDEWAYS]


def test_a_low_box_never_tips() -> None:
    low = Thing("w", (1500, 700, 0), (900, 900, 900), tier=1)
    assert directions(low) == []


def test_a_wall_within_15_cm_holds_it_on_that_side_only() -> None:
    assert directions(wardrobe((150, 700, 0))) == [REARWARD, SIDEWAYS]
    assert directions(wardrobe((151, 700, 0))) == [FORWARD, REARWARD, SIDEWAYS]


def test_sideways_it_needs_something_on_both_sides() -> None:
    other = Thing("c", (1500, 900, 0), (600, 1400, 1900), tier=1)
    assert directions(wardrobe((1500, 0, 0)), other) == [FORWARD, REARWARD]
    assert SIDEWAYS in directions(wardrobe((1500, 0, 0)))


def test_what_it_leans_on_must_reach_above_its_middle() -> None:
    low = Thing("c", (900, 700, 0), (600, 900, 940), tier=1)
    high = Thing("c", (900, 700, 0), (600, 900, 960), tier=1)
    assert FORWARD in directions(wardrobe((1500, 700, 0)), low)
    assert FORWARD not in directions(wardrobe((1500, 700, 0)), high)
