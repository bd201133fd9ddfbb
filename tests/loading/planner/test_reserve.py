"""Room kept for what is only estimated: tiny loads whose tiers are known."""

from dataclasses import replace

from loading.planner.plan import LoadPlan, Placement, Step
from loading.planner.request import LoadRequest, Progress
from loading.planner.reserve import reserve_of
from loading.planner.search import plan_load
from loading.planner.search.warming import tiny_request
from loading.planner.stopping import Iterations


def two_tiers(*, kinds: tuple[str, ...]) -> tuple[LoadRequest, LoadPlan]:
    """A truck of 2,000 mm with two cartons 480 mm deep, one behind the other."""
    tiny = tiny_request()
    items = tuple(
        replace(item, size_from=kind) for item, kind in zip(tiny.items, kinds, strict=True)
    )
    places = tuple(
        Placement(item.tag, tier, "base", (480 * (tier - 1), 0, 0), (480, 480, 420), "standing")
        for tier, item in enumerate(items, start=1)
    )
    return replace(tiny, items=items), LoadPlan("two", (), places, (), ())


def test_measured_pieces_need_no_reserve() -> None:
    request, plan = two_tiers(kinds=("measured", "measured"))

    assert reserve_of(request, plan).wanted_mm == 0


def test_a_far_tier_keeps_five_percent_of_what_is_estimated() -> None:
    request, plan = two_tiers(kinds=("kind", "kind"))

    reserve = reserve_of(request, plan)

    assert reserve.tiers == ((2, 24),)  # the first tier is measured as it is unpacked
    assert reserve.kept_mm == 2000 - 960
    assert reserve.short_mm == 0


def test_what_is_loaded_makes_the_next_tier_the_near_one() -> None:
    request, plan = two_tiers(kinds=("kind", "kind"))
    steps = (Step("pull", vault="V1"), Step("unpack", tag="001"), Step("load", tag="001"))
    begun = replace(request, progress=Progress(steps, plan.placements[:1], ()))

    assert reserve_of(begun, plan).tiers == ()


def test_a_truck_too_short_for_the_reserve_is_told_of_before_the_start() -> None:
    """Six cartons one behind the other are 2,880 mm, deeper than a tier may be (contract R9)."""
    tiny = tiny_request()
    items = tuple(
        replace(tiny.items[0], tag=f"{number:03}", size_from="kind") for number in range(1, 7)
    )
    request = replace(
        tiny,
        truck=replace(tiny.truck, interior_mm=(2900, 500, 430), door_mm=(500, 430)),
        items=items,
        vaults=(replace(tiny.vaults[0], items=tuple(item.tag for item in items)),),
    )

    plan = plan_load(request, seed=1, stop=Iterations(60))
    known = tuple(replace(item, size_from="measured") for item in items)
    measured = plan_load(replace(request, items=known), seed=1, stop=Iterations(60))

    assert plan.left_off == ()
    wanted = reserve_of(request, plan).wanted_mm
    assert 24 <= wanted <= 120  # the last tier is one to five cartons deep
    assert plan.warnings == (
        "20 mm are left before the doors; sizes that are only estimated may"
        f" take up to {wanted} mm more",
    )
    assert measured.warnings == ()
