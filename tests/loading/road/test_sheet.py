from typing import Any

import pytest

from loading.road.sheet import Caution, RoadAnswer, road_answer
from tests.loading.planner.scene import Scene, full_wall
from tests.loading.road.loads import parsed


def answer(scene: Scene, **keys: Any) -> RoadAnswer:
    return road_answer(*parsed(scene), **keys)


def test_a_small_load_in_the_nose_is_far_along_and_all_in_one_half() -> None:
    found = answer(full_wall())
    assert found.cautions == (Caution.FAR_ALONG, Caution.HALF_TOO_HEAVY)
    assert found.proposal is None


def test_the_space_is_the_length_in_use_over_the_whole_section() -> None:
    found = answer(full_wall())
    assert found.space_mm3 == 900 * 1000 * 1000
    # 0.9 m3 are 31.78 cubic feet, 222.5 lb.
    assert found.constructive_g == pytest.approx(100_920, abs=30)


def test_typical_sizes_are_added_up() -> None:
    scene = full_wall()
    scene.item("005")["size_from"] = "kind"
    found = answer(scene)
    assert found.estimated_g == 10_000
    assert Caution.ESTIMATED_SIZES in found.cautions


def one_box(at_mm: tuple[int, int, int], size_mm: tuple[int, int, int], **keys: Any) -> Scene:
    return Scene().piece("001", at_mm, size_mm, **keys).close()


def over_until_the_doors() -> Scene:
    """70 kg on the front, limit 60, until a box behind the rear axle takes 30 kg off it."""
    scene = Scene()
    scene.request["truck"]["supports"][0].update(tare_kg=0, limit_kg=60)
    scene.piece("001", (0, 0, 0), (500, 1000, 500), weight_kg=120)
    return scene.piece("002", (2500, 0, 0), (500, 1000, 500), tier=2, weight_kg=120).close()


@pytest.mark.parametrize(
    ("scene", "caution"),
    [
        (one_box((1000, 0, 0), (1000, 850, 400)), Caution.OFF_THE_MIDDLE),
        (one_box((1000, 0, 200), (1000, 1000, 700)), Caution.TOP_HEAVY),
        (one_box((1000, 0, 0), (1000, 1000, 400)), Caution.VOIDS),
        (one_box((1000, 350, 0), (1000, 300, 900)), Caution.TALL_PIECES),
        (over_until_the_doors(), Caution.OVER_AT_THE_DOCK),
    ],
)
def test_each_caution_by_a_load_that_calls_for_it(scene: Scene, caution: Caution) -> None:
    assert caution in answer(scene).cautions
    assert caution not in answer(even()).cautions


def even() -> Scene:
    """A low box in the middle of everything, as long as the truck."""
    return one_box((0, 0, 0), (3000, 1000, 900))


def test_an_even_load_calls_for_no_caution() -> None:
    assert answer(even()).cautions == ()


def test_a_front_that_is_lifted_while_loading() -> None:
    scene = one_box((2900, 0, 0), (100, 1000, 400), weight_kg=300)
    scene.request["truck"]["supports"][0].update(tare_kg=0)
    scene.piece("002", (0, 0, 0), (500, 1000, 400), tier=2, weight_kg=900).close()
    assert Caution.LIFTED_AT_THE_DOCK in answer(scene).cautions


def test_a_truck_of_26_001_lb_needs_a_commercial_licence() -> None:
    scene = even()
    scene.request["truck"]["payload_kg"] = 7794  # with 4000 kg empty 26,001.6 lb
    assert answer(scene).cautions == (Caution.COMMERCIAL_LICENCE,)


def test_a_load_that_is_too_heavy_comes_with_a_proposal() -> None:
    scene = Scene()
    scene.request["truck"]["supports"][0].update(tare_kg=0, limit_kg=60)
    scene.piece("001", (0, 0, 0), (500, 1000, 500), weight_kg=120)
    scene.piece("002", (500, 0, 0), (500, 1000, 500), tier=2, weight_kg=12).close()
    found = answer(scene)
    assert found.weights.excess_g == 15_000
    assert found.proposal is not None
    assert found.proposal.excess_g == 0
