"""Floor and spots over the steps, against days by hand and against the checker."""

from hypothesis import given

from loading.planner.checker.dock import walk_dock
from loading.planner.dockside import Moment, Pace, Timeline, Wait, timeline
from loading.planner.plan import LoadPlan
from loading.planner.request import LoadRequest
from tests.loading.planner.dockside.docks import begun, dock_days, plan_of, request_of

MINUTE = Pace(dict.fromkeys(("pull", "unpack", "fetch", "load", "clear", "return", "store"), 60))
DAY = ("pull V1", "unpack 1", "unpack 2", "load 2", "load 1", "clear V1")


def shown(request: LoadRequest, plan: LoadPlan) -> Timeline:
    return timeline(request, plan, MINUTE)


def test_moments_tell_floor_and_spots_after_each_step() -> None:
    found = shown(request_of({"V1": "1 2"}), plan_of(*DAY))
    assert [m.floor_mm2 for m in found.moments] == [0, 0, 1_300_000, 2_600_000, 1_300_000, 0, 0]
    assert [m.vaults for m in found.moments] == [(), *[("V1",)] * 5, ()]


def test_the_peak_is_the_first_fullest_moment() -> None:
    found = shown(request_of({"V1": "1 2"}), plan_of(*DAY))
    assert found.peak == Moment(3, 2_600_000, 2, ("V1",))
    assert found.spots_peak == 1


def test_what_waits_longest_comes_first() -> None:
    """Both are unpacked in minute 2 by two people; 2 is loaded at once, 1 a minute later."""
    found = shown(request_of({"V1": "1 2"}), plan_of(*DAY))
    assert found.longest(2) == (
        Wait("1", False, 2, 5, 1_300_000, 60),
        Wait("2", False, 3, 4, 1_300_000, 0),
    )
    assert found.longest(1, vaults=True) == (Wait("V1", True, 1, 6, 0, 60),)


def test_what_is_left_on_the_floor_waits_to_the_end() -> None:
    found = shown(request_of({"V1": "1 2"}), plan_of(*DAY[:4], "clear V1"))
    assert found.longest(1) == (Wait("1", False, 2, None, 1_300_000, 60),)


def test_a_piece_that_goes_back_leaves_the_floor() -> None:
    request = request_of({"V1": "1 2"}, **{"1": {"leaves": False}})
    plan = plan_of("pull V1", "unpack 1", "unpack 2", "load 2", "return 1", "store V1 A")
    found = shown(request, plan)
    assert [m.pieces for m in found.moments] == [0, 0, 1, 2, 1, 0, 0]
    assert found.moments[-1].vaults == ()


def test_a_piece_taken_out_of_the_truck_waits_on_the_floor() -> None:
    request = begun(request_of({"V1": "1 2"}), "pull V1", "unpack 1", "load 1")
    plan = plan_of("pull V1", "unpack 1", "load 1", "unpack 2", "take_out 1", "load 2", "load 1")
    assert shown(request, plan).peak == Moment(5, 2_600_000, 2, ("V1",))


def test_steps_that_are_done_take_no_time() -> None:
    request = begun(request_of({"V1": "1 2"}), *DAY[:3])
    assert shown(request, plan_of(*DAY)).takes_s == 120


@given(dock_days())
def test_the_peak_is_the_checkers(day: tuple[LoadRequest, LoadPlan]) -> None:
    request, plan = day
    broken, figures = walk_dock(request, plan)
    assert broken == []
    assert round(timeline(request, plan).peak.floor_mm2 / 1e6, 1) == figures.floor_peak_m2
