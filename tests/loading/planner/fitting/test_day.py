"""The day with wrong sizes, played with a planner that sets pieces one behind the other."""

from dataclasses import replace

from loading.planner.checker import check_plan
from loading.planner.fitting.choosing import leaving
from loading.planner.plan import LeftOff, LoadPlan, Placement, Step
from loading.planner.request import LoadRequest, parse_request
from tests.benchmarks.day import OFF_PERCENT, Planners, measured, play, true_sizes
from tests.loading.planner.fitting.trucks import piece
from tests.loading.planner.scene import empty_request


def household(floor_m2: float = 20) -> LoadRequest:
    """Three boxes in a vault, two loose; a truck of 6 x 1.1 x 1 m."""
    document = empty_request()
    document["truck"] |= {"interior_mm": [6000, 1100, 1000], "door_mm": [1100, 1000]}
    document["dock"] = {"vault_spots": 1, "floor_m2": floor_m2}
    document["vaults"] = [
        {"code": "V1", "lane": "A", "depth": 1, "level": 1, "items": ["1", "2", "3"]}
    ]
    document["items"] = [piece(tag, (500, 1000, 500)) for tag in "12345"]
    return parse_request(document)


def in_a_row(request: LoadRequest, former: LoadPlan | None) -> LoadPlan:
    """What is loaded stays; the rest goes behind it in the order of the list, each piece a tier."""
    return in_tiers_of(1, request)


def in_pairs(request: LoadRequest, former: LoadPlan | None) -> LoadPlan:
    """As `in_a_row`, with two pieces to a tier."""
    return in_tiers_of(2, request)


def in_tiers_of(pieces: int, request: LoadRequest) -> LoadPlan:
    progress = request.progress
    steps = list(progress.steps) if progress else []
    placements = list(progress.placements) if progress else []
    at = max((p.at_mm[0] + p.size_mm[0] for p in placements), default=0)
    left: list[LeftOff] = []
    for number, tag in enumerate(leaving(request)):
        tier = number // pieces + 1
        if tag in {p.tag for p in placements}:
            continue
        item = request.item(tag)
        if at + item.size_mm[0] > request.truck.interior_mm[0]:
            left.append(LeftOff(tag, "no length left"))
            continue
        placements.append(Placement(tag, tier, "base", (at, 0, 0), item.size_mm, "standing"))
        at += item.size_mm[0]
        steps += [step for step in out_of_storage(request, tag) if step not in steps]
        steps.append(Step("load", tag=tag))
        if tag == "3":
            steps.append(Step("clear", vault="V1"))
        if number % pieces == pieces - 1 or tag == "5":
            steps.append(Step("close", tier=tier))
    plan = LoadPlan(request.name, tuple(steps), tuple(placements), left_off=tuple(left))
    return replace(plan, figures=check_plan(request, plan).figures)


def out_of_storage(request: LoadRequest, tag: str) -> list[Step]:
    vault = request.vault_of(tag)
    if vault is None:
        return [Step("fetch", tag=tag)]
    return [Step("pull", vault=vault), Step("unpack", tag=tag)]


def test_true_sizes_are_a_little_off_and_the_same_for_a_seed() -> None:
    request = household()
    sizes = true_sizes(request, 7)

    assert sizes == true_sizes(request, 7) != true_sizes(request, 8)
    for item in request.items:
        pairs = zip(item.size_mm, sizes[item.tag], strict=True)
        assert all(100 * abs(told - true) <= OFF_PERCENT * told + 100 for told, true in pairs)


def test_openings_change_with_their_piece() -> None:
    document = empty_request()
    opening = {"at_mm": [100, 100, 0], "size_mm": [200, 200, 100]}
    document["items"] = [piece("1", (400, 400, 400), openings=[opening])]
    request = parse_request(document)

    (item,) = measured(request, {"1": (200, 400, 440)}, ["1"]).items

    assert (item.openings[0].at_mm, item.openings[0].size_mm) == ((50, 100, 0), (100, 200, 110))
    assert item.size_from == "measured"


def test_a_day_loads_all_at_true_sizes_and_counts_its_replans() -> None:
    request = household()
    sizes = true_sizes(request, 1)

    day = play(request, sizes, Planners(in_pairs, in_pairs))

    assert day.left_off == {}
    assert [fault for fault in day.faults if " R14 " not in fault] == []
    # One for each tier, whose pieces are brought to the dock before it is begun.
    assert len(day.took_s) == 3
    assert day.looks == 0


def test_a_floor_without_room_to_spare_is_not_unpacked_ahead_to() -> None:
    request = household(floor_m2=0.8)

    day = play(request, true_sizes(request, 1), Planners(in_pairs, in_pairs))

    assert day.left_off == {}
    assert len(day.took_s) == 5


def test_a_plan_that_breaks_a_rule_is_told() -> None:
    request = household()

    def on_one_spot(wanted: LoadRequest, former: LoadPlan | None) -> LoadPlan:
        plan = in_a_row(wanted, former)
        first, second, *others = plan.placements
        moved = Placement("2", 2, "base", first.at_mm, second.size_mm, "standing")
        return LoadPlan(plan.request, plan.steps, (first, moved, *others))

    day = play(request, true_sizes(request, 1), Planners(on_one_spot, in_a_row))

    assert "scene, first plan: R3 1 and 2 share space" in day.faults


def test_a_replan_that_leaves_a_piece_off_is_looked_at_again() -> None:
    request = household()
    looks: list[int] = []

    def hasty(wanted: LoadRequest, former: LoadPlan | None) -> LoadPlan:
        plan = in_pairs(wanted, former)
        if wanted.progress is None or "5" in {p.tag for p in wanted.progress.placements}:
            return plan
        kept = tuple(place for place in plan.placements if place.tag != "5")
        steps = tuple(step for step in plan.steps if step.tag != "5" and step.tier != 3)
        plan = replace(plan, steps=steps, placements=kept, left_off=(LeftOff("5", "in haste"),))
        return replace(plan, figures=check_plan(wanted, plan).figures)

    def longer(wanted: LoadRequest, former: LoadPlan | None) -> LoadPlan:
        assert former is not None
        looks.append(len(former.left_off))
        return in_pairs(wanted, former)

    day = play(request, true_sizes(request, 1), Planners(in_pairs, hasty, longer))

    assert looks == [1] * day.looks
    assert day.looks == len(day.took_s) > 0
    assert day.left_off == {}
