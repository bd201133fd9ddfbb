from typing import Any

from loading.road.gear import Gear
from loading.road.holding import Holding, Strapping, Why, holding_of
from loading.road.pounds import grams
from tests.loading.planner.scene import Scene
from tests.loading.road.facts import securement
from tests.loading.road.loads import parsed

RULE = securement("van_contained")["rule"]
WEAK = Gear((("strap", 60_000), ("anchor", 50_000)))


def wall(scene: Scene, tier: int, x_mm: int, height_mm: int = 800, **keys: Any) -> Scene:
    """A tier of one box from wall to wall, half a metre deep, 100 kg."""
    given: dict[str, Any] = {"weight_kg": 100, "tier": tier, **keys}
    return scene.piece(f"{tier:03}", (x_mm, 0, 0), (500, 1000, height_mm), **given)


def held(scene: Scene, gear: Gear = WEAK) -> Holding:
    return holding_of(*parsed(scene), gear)


def lines(found: Holding) -> list[tuple[int, int, Why]]:
    return [(s.after_stop, s.tier, s.why) for s in found.strappings]


def last(found: Holding) -> Strapping:
    return found.strappings[-1]


def test_only_the_end_of_a_tight_load_is_strapped() -> None:
    scene = wall(wall(wall(Scene(), 1, 0), 2, 500), 3, 1000).close()
    assert lines(held(scene)) == [(0, 3, Why.END_OF_LOAD)]


def test_a_load_that_reaches_the_doors_needs_no_strap() -> None:
    """49 CFR 393.102(c), 393.106(b), as tests/data/road/securement.json tells it."""
    assert "no more securement is needed if each article touches" in RULE
    scene = Scene()
    for n in range(6):
        wall(scene, n + 1, 500 * n)
    assert lines(held(scene.close())) == []


def test_the_end_holds_what_friction_leaves_of_the_whole_load() -> None:
    found = last(held(wall(wall(Scene(), 1, 0), 2, 500).close()))
    # 0.5 g less friction 0.3 of 200 kg is 40 kg; half of the tier's 100 kg is more (393.106(d)).
    assert (found.force_g, found.required_g) == (40_000, 50_000)
    assert (found.straps, found.tags) == (1, ("002",))
    assert (found.heights_mm, found.at_mm) == ((400,), 1000)


def test_cartons_hold_by_friction_but_half_their_weight_is_asked_for() -> None:
    found = last(held(wall(Scene(), 1, 0, carton=True).close()))
    assert (found.force_g, found.required_g) == (0, 50_000)


def test_a_weak_part_means_more_straps() -> None:
    scene = wall(Scene(), 1, 0, weight_kg=101).close()
    assert last(held(scene)).straps == 2
    assert held(scene).gear.weakest == ("anchor", 50_000)
    assert last(held(scene, Gear((("strap", 60_000),)))).straps == 1


def test_straps_are_spread_over_the_height() -> None:
    found = last(held(wall(Scene(), 1, 0, weight_kg=101).close()))
    assert found.heights_mm == (200, 600)


def test_unmarked_webbing_is_what_is_taken_for_granted() -> None:
    found = holding_of(*parsed(wall(Scene(), 1, 0).close()))
    assert found.gear.weakest[1] == int(grams(2_000))


def test_a_hole_behind_a_tier_is_strapped_unless_friction_holds() -> None:
    """Tier 2 is low: the high box of tier 1 has nothing behind its upper part."""

    def scene(**keys: object) -> Scene:
        return (
            Scene()
            .piece("001", (0, 0, 0), (500, 1000, 400), weight_kg=50)
            .piece("002", (0, 0, 400), (500, 1000, 400), level="top", weight_kg=50, **keys)
            .piece("003", (500, 0, 0), (2400, 1000, 300), tier=2, weight_kg=300)
            .close()
        )

    assert lines(held(scene())) == [(0, 1, Why.OPEN_BEHIND)]
    assert last(held(scene())).tags == ("002",)
    assert lines(held(scene(carton=True))) == []


def test_what_leans_on_a_loose_piece_is_held_with_it() -> None:
    scene = wall(wall(Scene(), 1, 0), 2, 500).piece(
        "003", (1500, 0, 0), (1500, 1000, 800), tier=3, weight_kg=100
    )
    (found,) = held(scene.close()).strappings
    assert (found.tier, found.why) == (2, Why.OPEN_BEHIND)
    assert (found.force_g, found.weight_g) == (40_000, 100_000)


def test_after_a_stop_the_new_end_is_strapped() -> None:
    scene = wall(wall(Scene(), 1, 0, stop=2), 2, 500, stop=1).close()
    assert lines(held(scene)) == [(0, 2, Why.END_OF_LOAD), (1, 1, Why.END_OF_LOAD)]


def test_a_tall_piece_with_nothing_behind_it_is_strapped() -> None:
    scene = (
        Scene()
        .piece("001", (0, 0, 0), (400, 1000, 1000), weight_kg=50, carton=True)
        .piece("002", (400, 0, 0), (2500, 1000, 300), tier=2, carton=True)
        .close()
    )
    assert lines(held(scene)) == [(0, 1, Why.MAY_TIP)]


def test_a_tall_piece_away_from_the_side_wall_is_named() -> None:
    scene = Scene().piece("001", (0, 300, 0), (400, 300, 900), weight_kg=50).close()
    (tipper,) = held(scene).tippers
    assert (tipper.tag, tipper.direction.value) == ("001", "sideways")


def test_a_long_trip_on_steel_springs_asks_for_a_strap_every_10_ft() -> None:
    def scene(ride: str, distance_km: int) -> Scene:
        made = Scene()
        made.request["truck"].update(ride=ride, interior_mm=[6000, 1000, 1000])
        made.request["trip"]["distance_km"] = distance_km
        for n in range(12):
            wall(made, n + 1, 500 * n)
        return made.close()

    assert lines(held(scene("air", 900))) == []
    assert lines(held(scene("spring", 500))) == []
    # 10 ft are 3048 mm: six tiers of half a metre.
    assert lines(held(scene("spring", 501))) == [(0, 6, Why.LONG_TRIP)]


def test_forces_of_a_tier_by_direction() -> None:
    (found,) = held(wall(Scene(), 1, 0).close()).forces
    # Friction 0.3 of 100 kg: forward, rearward, sideways.
    assert found.breaking_g == (50_000, 20_000, 20_000)
    assert found.working_g == (13_500, 20_000, 0)


def held_by(scene: Scene) -> list[list[str]]:
    return [[by.value for by in tier.held] for tier in held(scene.close()).forces]


def test_what_holds_a_tier_in_each_direction() -> None:
    """49 CFR 393.102(c): neighbours and walls, as near as 15 cm; the end of the load by straps."""
    assert held_by(wall(wall(Scene(), 1, 0), 2, 650)) == [
        ["neighbours", "neighbours", "walls"],
        ["neighbours", "straps", "walls"],
    ]
    assert held_by(wall(wall(Scene(), 1, 0), 2, 651))[1] == ["nothing", "straps", "walls"]


def test_nothing_holds_what_stands_away_from_both_walls() -> None:
    (tier,) = held(Scene().piece("001", (0, 100, 0), (500, 800, 800)).close()).forces
    assert (tier.held[2].value, tier.voids_mm) == ("nothing", (0, 200))


def test_friction_alone_holds_cartons_sideways_and_to_the_rear() -> None:
    """Cardboard on cardboard is 0.5; forward 0.8 g ask for more."""
    scene = wall(wall(Scene(), 1, 0, carton=True), 2, 500, carton=True)
    assert held_by(scene)[0] == ["neighbours", "friction", "friction"]


def test_the_front_wall_of_a_low_box_takes_half_of_the_load() -> None:
    assert held(wall(Scene(), 1, 0).close()).front_wall_g == 50_000


def test_voids_are_told_by_axis_with_the_piece() -> None:
    scene = (
        Scene()
        .piece("001", (0, 0, 0), (500, 950, 800))
        .piece("002", (560, 0, 0), (500, 1000, 800), tier=2)
        .close()
    )
    voids = held(scene).voids
    assert (voids.along_mm, voids.along_tag) == (60, "002")
    assert (voids.across_mm, voids.across_tag) == (50, "001")
    assert voids.are_within_limit


def test_what_rides_in_an_opening_presses_with_its_host() -> None:
    scene = (
        Scene()
        .piece(
            "001",
            (0, 0, 0),
            (500, 1000, 800),
            weight_kg=100,
            openings=[{"at_mm": [0, 100, 0], "size_mm": [500, 800, 500]}],
        )
        .piece("002", (0, 200, 0), (400, 400, 400), inside="001", weight_kg=50)
        .close()
    )
    found = last(held(scene))
    assert (found.weight_g, found.force_g, found.tags) == (150_000, 30_000, ("001",))


def test_an_empty_truck_needs_nothing() -> None:
    scene = wall(Scene(), 1, 0)
    scene.plan.update(placements=[], steps=[], left_off=[{"tag": "001", "reason": "stays"}])
    found = held(scene)
    assert (found.strappings, found.forces, found.tippers) == ((), (), ())


def test_what_stands_open_behind_may_stand_on_friction_mats_instead() -> None:
    """49 CFR 393.108: an unmarked mat resists half the weight on it; 0.5 g rearward is no more."""
    found = held(wall(wall(Scene(), 1, 0), 2, 800).close())
    assert [(s.why, s.mats_do) for s in found.strappings] == [
        (Why.OPEN_BEHIND, True),
        (Why.END_OF_LOAD, False),
    ]


def test_mats_do_not_hold_what_others_press_upon() -> None:
    found = held(wall(wall(wall(Scene(), 1, 0), 2, 500), 3, 1300).close())
    pressed = found.strappings[0]
    assert (pressed.tier, pressed.why, pressed.mats_do) == (2, Why.OPEN_BEHIND, False)
