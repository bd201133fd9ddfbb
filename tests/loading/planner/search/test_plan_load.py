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


def test_a_tier_that_progress_left_open_is_closed_first() -> None:
    request = many(9)
    first = planned(request)
    load = next(k for k, step in enumerate(first.steps) if step.do == "load")
    done = first.steps[: load + 1]
    placed = next(p for p in first.placements if p.tag == done[-1].tag)
    again = planned(replace(request, progress=Progress(done, (placed,), ())), seed=5)
    assert Step("close", tier=placed.tier) in again.steps[load + 1 :]


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
