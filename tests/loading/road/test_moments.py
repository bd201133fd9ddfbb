from loading.road.moments import (
    When,
    loading_moments,
    overloads,
    road_moments,
    worst_overloads,
)
from tests.loading.planner.scene import Scene
from tests.loading.road.loads import parsed


def two_stops() -> Scene:
    """Supports at -1000 and 2000 mm; a heavy box in the nose, 500 kg for stop 1 at the doors."""
    return (
        Scene()
        .piece("001", (0, 0, 0), (500, 1000, 500), weight_kg=2500, stop=2)
        .piece("002", (500, 0, 0), (500, 1000, 500), weight_kg=10, stop=2)
        .piece("003", (2500, 0, 0), (500, 1000, 500), weight_kg=500, stop=1, tier=2)
        .close()
    )


def test_every_step_that_changes_the_load_is_a_moment() -> None:
    request, plan = parsed(two_stops())
    found = list(loading_moments(request, plan))
    assert [moment.number for moment in found] == [2, 4, 7]
    assert [moment.load_g for moment in found] == [2_500_000, 2_510_000, 3_010_000]
    assert all(not moment.on_the_road for moment in found)


def test_taking_a_piece_out_takes_its_weight_off() -> None:
    scene = two_stops()
    scene.steps.append({"do": "take_out", "tag": "001"})
    last = list(loading_moments(*parsed(scene)))[-1]
    assert last.load_g == 510_000


def test_departure_and_what_is_left_after_each_stop_but_the_last() -> None:
    departure, after = road_moments(*parsed(two_stops()))
    assert (departure.when, departure.number, departure.load_g) == (When.DEPARTURE, 0, 3_010_000)
    assert (after.when, after.number, after.load_g) == (When.AFTER_STOP, 1, 2_510_000)


def test_delivering_what_stands_behind_the_rear_axle_overloads_the_front() -> None:
    scene = two_stops()
    scene.request["truck"]["supports"][0]["limit_kg"] = 3410
    request, plan = parsed(scene)
    departure, after = road_moments(request, plan)

    # Front by hand: 2500 * 1750/3000 + 10 * 1250/3000 - 500 * 750/3000 = 1337.5 kg, tare 2000.
    assert round(departure.gross_g[0]) == 3_337_500
    assert not list(overloads(request.truck.supports, departure))
    (found,) = overloads(request.truck.supports, after)
    assert (found.support, found.lifted) == ("front axle", False)
    assert found.over_g == 3_462_500 - 3_410_000


def test_half_a_kilogram_over_is_rounding() -> None:
    scene = two_stops()
    scene.request["truck"]["supports"][0]["limit_kg"] = 3462
    request, plan = parsed(scene)
    assert not list(overloads(request.truck.supports, road_moments(request, plan)[1]))
    scene.request["truck"]["supports"][0]["limit_kg"] = 3461.9
    request, plan = parsed(scene)
    assert list(overloads(request.truck.supports, road_moments(request, plan)[1]))


def test_the_worst_moment_of_each_support_is_told_once() -> None:
    scene = two_stops()
    scene.request["truck"]["supports"][0].update(limit_kg=3000)
    request, plan = parsed(scene)
    worst = worst_overloads(request.truck.supports, loading_moments(request, plan))
    assert [(found.support, found.moment.number) for found in worst] == [("front axle", 4)]


def test_a_support_can_be_lifted_while_loading() -> None:
    scene = Scene().piece("001", (2800, 0, 0), (200, 1000, 500), weight_kg=900).close()
    scene.request["truck"]["supports"][0].update(tare_kg=100)
    request, plan = parsed(scene)
    (found,) = worst_overloads(request.truck.supports, loading_moments(request, plan))
    # 900 kg at 2900: 900 * 900/3000 = 270 kg off the front, which weighs 100.
    assert (found.support, found.lifted, found.over_g) == ("front axle", True, 170_000)
