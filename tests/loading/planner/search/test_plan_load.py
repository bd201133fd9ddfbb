"""The search on small loads: whole plans, judged by the project's own checker."""

from dataclasses import replace

import pytest

from loading.planner.checker import check_plan
from loading.planner.plan import LoadPlan, Step
from loading.planner.request import Lane, LoadRequest, OtherVault, Progress, Vault
from loading.planner.search import SearchProgress, plan_load
from loading.planner.search.warming import tiny_request
from loading.planner.stopping import Iterations


def many(count: int) -> LoadRequest:
    """A small truck and so many cartons of two sizes in one vault."""
    tiny = tiny_request()
    low, high = tiny.items[0], replace(tiny.items[0], size_mm=(590, 480, 600), weight_g=9_000)
    items = tuple(replace(low if k % 2 else high, tag=f"{k:03}") for k in range(1, count + 1))
    vault = replace(tiny.vaults[0], items=tuple(item.tag for item in items))
    return replace(tiny, items=items, vaults=(vault,))


def planned(request: LoadRequest, iterations: int = 30, seed: int = 1) -> LoadPlan:
    plan = plan_load(request, seed=seed, stop=Iterations(iterations))
    assert check_plan(request, plan).broken == ()
    return plan


def test_two_cartons_are_both_loaded() -> None:
    plan = planned(tiny_request())
    assert sorted(place.tag for place in plan.placements) == ["001", "002"]
    assert plan.left_off == ()


@pytest.mark.parametrize("count", [5, 9, 14])
def test_every_piece_is_placed_or_left_off_with_its_rule(count: int) -> None:
    plan = planned(many(count))
    tags = [p.tag for p in plan.placements] + [lo.tag for lo in plan.left_off]
    assert sorted(tags) == [f"{k:03}" for k in range(1, count + 1)]
    assert len(plan.placements) >= count * 2 // 3
    assert all(lo.reason.startswith("R") for lo in plan.left_off)


def test_the_same_seed_and_iterations_give_the_same_plan() -> None:
    one, two = (plan_load(many(8), seed=7, stop=Iterations(25), workers=2) for _ in range(2))
    assert one == two


def test_a_piece_that_passes_no_door_is_left_off_with_the_rule() -> None:
    request = tiny_request()
    huge = replace(request.items[1], size_mm=(1900, 1300, 1300))
    plan = planned(replace(request, items=(request.items[0], huge)))
    assert [lo.reason.split()[0] for lo in plan.left_off if lo.tag == "002"] == ["R2"]


def test_a_piece_larger_than_the_dock_floor_is_left_off_with_the_rule() -> None:
    request = tiny_request()
    dock = replace(request.dock, floor_mm2=100_000)
    plan = planned(replace(request, dock=dock))
    assert {lo.reason.split()[0] for lo in plan.left_off} == {"R10"}
    assert plan.placements == ()


def test_payload_is_kept_and_named() -> None:
    request = tiny_request()
    truck = replace(request.truck, payload_g=13_000)
    plan = planned(replace(request, truck=truck))
    assert len(plan.placements) <= 1
    assert plan.left_off


def test_what_is_loaded_already_stays_where_it_is() -> None:
    request = many(9)
    first = planned(request)
    close = next(k for k, step in enumerate(first.steps) if step.do == "close")
    done = first.steps[: close + 1]
    aboard = {step.tag for step in done if step.do == "load"}
    rolled = {step.fill for step in done if step.do == "fill"}
    progress = Progress(
        done,
        tuple(p for p in first.placements if p.tag in aboard),
        tuple(f for f in first.fills if f.fill in rolled),
    )
    again = planned(replace(request, progress=progress), seed=5)
    assert again.steps[: len(done)] == done
    assert set(progress.placements) <= set(again.placements)


def half_done(request: LoadRequest, plan: LoadPlan, loads: int) -> LoadRequest:
    """The request once so many pieces of a plan are loaded, with the rolls that came before."""
    nth = [k for k, step in enumerate(plan.steps) if step.do == "load"][loads - 1]
    done = plan.steps[: nth + 1]
    aboard = {step.tag for step in done if step.do == "load"}
    rolled = {step.fill for step in done if step.do == "fill"}
    progress = Progress(
        done,
        tuple(p for p in plan.placements if p.tag in aboard),
        tuple(f for f in plan.fills if f.fill in rolled),
    )
    return replace(request, progress=progress)


def test_a_tier_that_was_begun_is_gone_on_with_and_closed_once() -> None:
    request = many(9)
    first = planned(request)
    again = planned(half_done(request, first, 1), seed=5)
    tier = first.placements[0].tier
    assert again.steps.count(Step("close", tier=tier)) == 1
    assert sum(place.tier == tier for place in again.placements) > 1


@pytest.mark.parametrize("loads", [1, 3, 5, 8])
def test_what_a_former_plan_has_left_is_kept_where_it_still_holds(loads: int) -> None:
    request = many(9)
    former = planned(request)
    assert former.left_off == ()
    so_far = half_done(request, former, loads)
    again = plan_load(so_far, seed=9, stop=Iterations(400), former=former)
    assert check_plan(so_far, again).broken == ()
    assert again.placements == former.placements
    assert again.steps == former.steps


def test_a_piece_that_has_grown_is_planned_anew_beside_what_a_former_plan_has_left() -> None:
    request = many(9)
    former = planned(request)
    so_far = half_done(request, former, 3)
    last = former.placements[-1].tag
    grown = replace(request.item(last), size_mm=(600, 500, 640))
    items = tuple(grown if item.tag == last else item for item in request.items)
    so_far = replace(so_far, items=items)
    again = plan_load(so_far, seed=9, stop=Iterations(40), former=former)
    assert check_plan(so_far, again).broken == ()
    assert again.left_off == ()
    kept = {place.tag: place.tier for place in again.placements}
    moved = {place.tier for place in former.placements if kept[place.tag] != place.tier}
    assert moved <= {former.placements[-1].tier}  # what stood in other tiers stays there


def test_rolled_pads_level_what_a_long_piece_rests_on() -> None:
    tiny = tiny_request()
    # Two cartons side by side as wide as the truck, one 60 mm lower, and a shelf that nothing may
    # stand on: there is room for it across both only.
    truck = replace(tiny.truck, interior_mm=(600, 1000, 1500), door_mm=(1000, 1500))
    low = replace(tiny.items[0], size_mm=(490, 490, 500))
    high = replace(tiny.items[1], size_mm=(490, 490, 560))
    plank = replace(
        low,
        tag="003",
        name="shelf",
        size_mm=(980, 400, 60),
        weight_g=3_000,
        bears_g=0,
        carton=False,
    )
    request = replace(
        tiny, truck=truck, items=(low, high, plank),
        vaults=(replace(tiny.vaults[0], items=("001", "002", "003")),),
    )  # fmt: skip
    plan = planned(request, iterations=60)
    assert plan.left_off == ()
    place = {p.tag: p for p in plan.placements}
    assert place["003"].at_mm[2] == 560
    assert [fill.size_mm[2] for fill in plan.fills if fill.at_mm[2] == 500] == [60]


def test_a_piece_stands_off_what_it_may_not_lean_over() -> None:
    tiny = tiny_request()
    # The thin fragile piece at the nose carries nothing: above it nothing can be slid to the nose.
    # With 140 mm of play behind it, within R14, the last carton still stands on the first.
    truck = replace(tiny.truck, interior_mm=(1200, 1000, 620), door_mm=(1000, 620))
    carton = replace(tiny.items[0], size_mm=(500, 980, 300), postures=("standing",))
    thin = replace(
        carton, tag="003", size_mm=(140, 980, 300), fragile=True, bears_g=0, last_on=False
    )
    items = (replace(carton, bears_g=90_000), replace(carton, tag="002"), thin)
    vault = replace(tiny.vaults[0], items=("003", "001", "002"))
    plan = planned(replace(tiny, truck=truck, items=items, vaults=(vault,)), iterations=60)
    assert plan.left_off == ()
    assert plan.figures["length_mm"] == 640


def test_progress_is_told_and_cancelling_ends_the_search() -> None:
    told: list[SearchProgress] = []
    plan = plan_load(
        many(6), seed=1, stop=Iterations(10_000_000), on_progress=told.append,
        cancelled=lambda: bool(told),
    )  # fmt: skip
    assert told[-1].pieces == 6
    assert check_plan(many(6), plan).broken == ()


def test_one_vault_that_cannot_be_had_leaves_only_its_own_pieces_off() -> None:
    tiny = tiny_request()
    near = Vault("V1", "A", 1, 1, ("001",))
    behind = Vault("V2", "B", 2, 1, ("002",))
    other = OtherVault("X1", "B", 1, 1)  # no lane has room for it
    lanes = (Lane("A", 1, 1), Lane("B", 2, 1))
    request = replace(
        tiny, lanes=lanes, vaults=(near, behind), other_vaults=(other,), pull_order=("V2", "V1")
    )
    plan = planned(replace(request, pull_order=None))
    tags = [place.tag for place in plan.placements] + [lo.tag for lo in plan.left_off]
    assert sorted(tags) == ["001", "002"]
    assert plan.placements
