from typing import Any

import pytest

from loading.planner.checker import check_plan
from loading.road.aboard import aboard_of
from loading.road.axles import Axle
from loading.road.changes import REASON, Change, tier_swaps
from loading.road.remedy import pieces_left, remedy
from loading.road.weights import road_weights
from tests.loading.planner.scene import Scene
from tests.loading.road.loads import parsed


def rows(*weights_kg: float, front_limit_kg: float, **keys: Any) -> Scene:
    """Tiers of one box each, half a metre deep and wall to wall, all loose in the warehouse.

    Supports at -1000 and 2000 mm, so the front takes 7/12 of a box in tier 1, then 5/12, 3/12 …
    """
    scene = Scene()
    scene.request["truck"]["supports"][0].update(tare_kg=0, limit_kg=front_limit_kg)
    for n, weight_kg in enumerate(weights_kg):
        place = (500 * n, 0, 0)
        scene.piece(f"{n + 1:03}", place, (500, 1000, 500), tier=n + 1, weight_kg=weight_kg, **keys)
    return scene.close()


def test_a_plan_that_passes_needs_no_proposal() -> None:
    assert remedy(*parsed(rows(120, 12, front_limit_kg=75))) is None


def test_heavy_and_light_of_one_size_change_places() -> None:
    # 70 + 5 = 75 kg in front; changed, 7 + 50 = 57 kg.
    request, plan = parsed(rows(120, 12, front_limit_kg=60))
    found = remedy(request, plan)

    assert found is not None
    assert found.excess_g == 0
    assert [(one.change, one.what) for one in found.advice] == [(Change.SWAP, ("001", "002"))]
    assert not check_plan(request, found.plan).broken
    assert pieces_left(plan, found) == ()


def test_tiers_change_places_where_no_two_pieces_are_alike() -> None:
    scene = rows(120, 12, front_limit_kg=62)
    scene.item("002")["size_mm"] = scene.place("002")["size_mm"] = [400, 1000, 500]
    request, plan = parsed(scene)
    found = remedy(request, plan)

    assert found is not None
    assert [(one.change, one.what) for one in found.advice] == [(Change.SWAP_TIERS, ("1", "2"))]
    assert {p.tag: (p.tier, p.at_mm) for p in found.plan.placements} == {
        "001": (2, (400, 0, 0)),
        "002": (1, (0, 0, 0)),
    }
    assert not check_plan(request, found.plan).broken


def test_tiers_that_reach_into_each_other_are_not_swapped() -> None:
    scene = rows(10, 12, front_limit_kg=1)
    scene.place("002")["at_mm"] = [400, 0, 500]
    assert not list(tier_swaps(*parsed(scene)))


def test_as_a_last_resort_a_piece_is_left() -> None:
    """Three equal boxes put 70 + 50 + 30 kg on the front; there is nothing to swap.

    Without one of the first two those behind could slide forward (R14), so the last one stays.
    """
    request, plan = parsed(rows(120, 120, 120, front_limit_kg=125))
    found = remedy(request, plan)

    assert found is not None
    assert found.excess_g == 0
    assert [(one.change, one.what) for one in found.advice] == [(Change.LEAVE, ("003",))]
    assert pieces_left(plan, found) == ("003",)
    assert [(one.tag, one.reason) for one in found.plan.left_off] == [("003", REASON)]
    assert not check_plan(request, found.plan).broken


def test_the_lightest_piece_that_is_enough_is_left() -> None:
    scene = (
        Scene()
        .piece("001", (0, 0, 0), (500, 1000, 500), weight_kg=40)
        .piece("002", (0, 0, 500), (500, 140, 200), level="top", weight_kg=6)
        .piece("003", (0, 140, 500), (500, 140, 190), level="top", weight_kg=4)
        .piece("004", (0, 280, 500), (500, 720, 200), level="top", weight_kg=2)
    )
    # The front takes 7/12 of 52 kg, 30.3 kg; without 002 26.8 kg, without 003 28 kg.
    scene.request["truck"]["supports"][0].update(tare_kg=0, limit_kg=28.5)
    request, plan = parsed(scene.close())
    found = remedy(request, plan)
    assert found is not None
    assert pieces_left(plan, found) == ("003",)
    assert not check_plan(request, found.plan).broken


def test_several_pieces_are_left_where_one_is_not_enough() -> None:
    request, plan = parsed(rows(120, 120, 120, front_limit_kg=110))
    found = remedy(request, plan)
    assert found is not None
    assert pieces_left(plan, found) == ("003", "002")
    assert [one.excess_g for one in found.advice] == [10_000, 0]
    assert not check_plan(request, found.plan).broken


def test_a_tier_that_is_left_empty_is_no_tier() -> None:
    scene = rows(12, 120, front_limit_kg=40)
    scene.item("002")["stop"] = 2
    scene.item("001")["weight_kg"] = 13
    request, plan = parsed(scene)
    found = remedy(request, plan)
    assert found is not None
    assert [step.tier for step in found.plan.steps if step.do == "close"] == [1]
    assert not check_plan(request, found.plan).broken


def test_what_stands_already_is_not_touched() -> None:
    begun = rows(120, front_limit_kg=0.1).begun(3)
    found = remedy(*parsed(begun))
    assert found is not None
    assert (found.advice, found.excess_g) == ((), 69_900)


def test_a_piece_behind_others_in_its_vault_comes_out_in_time() -> None:
    """002 is behind 003 in its vault: both come out before 002 is loaded in the nose."""
    scene = rows(120, 12, 11, front_limit_kg=65)
    scene.request["vaults"] = [
        {"code": "V1", "lane": "A", "depth": 2, "level": 1, "items": ["003", "002"]}
    ]
    scene.item("003")["weight_kg"] = 120
    scene.item("001")["weight_kg"] = 120
    scene.plan["steps"] = [
        {"do": "pull", "vault": "V1"},
        {"do": "fetch", "tag": "001"},
        {"do": "load", "tag": "001"},
        {"do": "close", "tier": 1},
        {"do": "unpack", "tag": "003"},
        {"do": "unpack", "tag": "002"},
        {"do": "clear", "vault": "V1"},
        {"do": "load", "tag": "002"},
        {"do": "close", "tier": 2},
        {"do": "load", "tag": "003"},
        {"do": "close", "tier": 3},
    ]
    scene.request["truck"]["supports"][0]["limit_kg"] = 90
    request, plan = parsed(scene)
    # 70 + 5 + 30 kg in front; with 002 in the nose 7 + 50 + 30.
    found = remedy(request, plan)
    assert found is not None
    assert [one.what for one in found.advice] == [("001", "002")]
    tags = [step.tag for step in found.plan.steps if step.do in ("unpack", "load")]
    assert tags == ["003", "002", "002", "001", "003"]
    assert not check_plan(request, found.plan).broken


def test_stops_are_kept_apart_by_swaps() -> None:
    scene = rows(120, 12, front_limit_kg=60)
    scene.item("001")["stop"] = 2
    request, plan = parsed(scene)
    found = remedy(request, plan)
    assert found is not None
    assert all(one.change is Change.LEAVE for one in found.advice)
    assert not check_plan(request, found.plan).broken


def test_an_axle_over_its_rating_is_mended_too() -> None:
    request, plan = parsed(rows(120, 12, front_limit_kg=4000))
    axles = (
        Axle(-1000, 0, "front axle", 100, 60_000),
        Axle(2000, 2_000_000, "rear axle", 100),
    )
    assert road_weights(request, aboard_of(request, plan), axles).excess_g == 15_000
    found = remedy(request, plan, axles)
    assert found is not None
    assert [one.change for one in found.advice] == [Change.SWAP]


@pytest.mark.parametrize("checks", [0, 1])
def test_the_checker_is_asked_at_most_so_often(checks: int) -> None:
    request, plan = parsed(rows(120, 12, front_limit_kg=60))
    found = remedy(request, plan, checks=checks)
    assert found is not None
    assert len(found.advice) == checks
