from dataclasses import replace

from loading.road.axles import Axle
from loading.road.weights import weights_of
from tests.loading.planner.scene import Scene
from tests.loading.road.loads import parsed
from tests.loading.road.test_moments import two_stops

AXLES = (
    Axle(-1000, 2_000_000, "front axle", 100, 3_400_000),
    Axle(1500, 1_000_000, "rear axle", 50),
    Axle(2500, 1_000_000, "rear axle", 50),
)


def test_a_load_that_passes_has_no_excess() -> None:
    request, plan = parsed(two_stops())
    found = weights_of(request, plan)
    assert found.excess_g == 0
    assert found.gross_g == 4_000_000 + 3_010_000
    assert found.groups == ()


def test_the_axles_own_rating_is_judged_at_every_moment_on_the_road() -> None:
    found = weights_of(*parsed(two_stops()), AXLES)
    (over,) = found.over_ratings
    assert (over.axle, over.moment.number, over.over_g) == (1, 1, 62_500)
    assert found.excess_g == 62_500


def test_axle_groups_at_departure_singles_and_consecutive() -> None:
    found = weights_of(*parsed(two_stops()), AXLES)
    assert [group.name for group in found.groups] == ["1", "2", "3", "1-2", "1-3", "2-3"]
    assert found.over_bridge == ()


def test_too_much_on_a_tandem_breaks_the_bridge_formula() -> None:
    scene = Scene().piece("001", (1900, 0, 0), (200, 1000, 500), weight_kg=14_000).close()
    scene.request["truck"]["payload_kg"] = 14_000
    scene.request["truck"]["supports"][1]["limit_kg"] = 20_000
    found = weights_of(*parsed(scene), AXLES)
    # 16,000 kg on axles 1,000 mm (39.4 in) apart: they count as one axle of 20,000 lb, 9,072 kg.
    assert [over.group.name for over in found.over_bridge] == ["2-3"]
    assert found.over_bridge[0].over_g == 16_000_000 - 9_071_847


def test_a_payload_is_exceeded_from_50_g_on() -> None:
    request, plan = parsed(two_stops())
    tight = replace(request, truck=replace(request.truck, payload_g=3_009_950))
    assert weights_of(tight, plan).over_payload_g == 0
    tighter = replace(request, truck=replace(request.truck, payload_g=3_009_949))
    assert weights_of(tighter, plan).over_payload_g == 51


def test_what_is_over_only_at_the_dock_is_told_apart() -> None:
    scene = (
        Scene()
        .piece("001", (0, 0, 0), (500, 1000, 500), weight_kg=2500)
        .piece("002", (2500, 0, 0), (500, 1000, 500), weight_kg=500, tier=2)
        .close()
    )
    scene.request["truck"]["supports"][0]["limit_kg"] = 3400
    found = weights_of(*parsed(scene))
    assert found.on_the_road == ()
    assert [(over.support, over.moment.number) for over in found.at_the_dock] == [("front axle", 2)]
    assert found.excess_g == 0
