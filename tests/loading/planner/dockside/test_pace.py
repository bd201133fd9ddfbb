"""When each step is done: no faster than people, forklift, door, spots and floor allow."""

from dataclasses import replace

from hypothesis import given

from loading.planner.dockside import Pace, Span, spans, takes_s, time_saved
from loading.planner.plan import LoadPlan
from loading.planner.request import Dock, LoadRequest
from tests.loading.planner.dockside.docks import dock_days, plan_of, request_of

SECONDS = {"move": 10, "pull": 10, "clear": 10, "unpack": 5, "load": 20, "fill": 1, "close": 2}
PACE = Pace(SECONDS)
TWO_VAULTS = (
    *("pull V2", "unpack 2", "load 2", "clear V2"),
    *("pull V1", "unpack 1", "load 1", "clear V1", "close 1"),
)


def two_vaults(**dock: int) -> tuple[LoadRequest, LoadPlan]:
    return request_of({"V1": "1", "V2": "2"}, **dock), plan_of(*TWO_VAULTS)


def test_with_one_spot_a_vault_comes_when_the_one_before_is_cleared() -> None:
    found = spans(*two_vaults(), PACE)
    assert [(span.begins_s, span.ends_s) for span in found] == [
        *((0, 10), (10, 15), (15, 35), (15, 25)),
        *((25, 35), (35, 40), (40, 60), (40, 50), (60, 62)),
    ]


def test_a_second_spot_brings_the_next_vault_meanwhile() -> None:
    request, plan = two_vaults()
    assert takes_s(request, plan, PACE) == 62
    assert takes_s(request, plan, PACE, Dock(2, request.dock.floor_mm2)) == 57
    assert [(s.change, s.seconds) for s in time_saved(request, plan, PACE)] == [("spot", 5)]


def test_more_floor_lets_pieces_come_out_meanwhile() -> None:
    request = request_of({"V1": "1 2"}, floor_m2=1.3)
    plan = plan_of("pull V1", "unpack 1", "load 1", "unpack 2", "load 2", "clear V1")
    assert takes_s(request, plan, PACE) == 10 + 5 + 20 + 5 + 20
    assert [(s.change, s.seconds) for s in time_saved(request, plan, PACE)] == [("floor", 5)]


def test_a_second_door_lets_two_pieces_in_at_once() -> None:
    request = request_of({"V1": "1 2"})
    plan = plan_of("pull V1", "unpack 1", "unpack 2", "load 1", "load 2", "close 1")
    saved = {one.change: one.seconds for one in time_saved(request, plan, PACE)}
    assert saved == {"door": 20}


def test_a_tier_is_closed_when_all_of_it_is_in() -> None:
    request = request_of({"V1": "1 2"})
    plan = plan_of("pull V1", "unpack 1", "unpack 2", "load 1", "load 2", "close 1")
    assert spans(request, plan, replace(PACE, doors=3))[-1] == Span(35, 37)


def test_a_plan_that_breaks_the_docks_rules_still_ends() -> None:
    request = request_of({"V1": "1", "V2": "2"})
    assert takes_s(request, plan_of("pull V2", "pull V1", "unpack 1", "load 1"), PACE) == 45


@given(dock_days())
def test_nobody_does_two_things_at_once(day: tuple[LoadRequest, LoadPlan]) -> None:
    request, plan = day
    times = list(zip(plan.steps, spans(request, plan, PACE), strict=True))
    for kinds, most in ((("move", "pull", "clear"), 1), (("unpack",), 2), (("load",), 1)):
        busy = [span for step, span in times if step.do in kinds]
        for moment in {span.begins_s for span in busy}:
            assert sum(s.begins_s <= moment < s.ends_s for s in busy) <= most


@given(dock_days())
def test_spots_and_floor_suffice_at_every_moment(day: tuple[LoadRequest, LoadPlan]) -> None:
    request, plan = day
    times = list(zip(plan.steps, spans(request, plan, PACE), strict=True))
    for moment in {span.begins_s for _, span in times}:
        open_vaults = {s.vault for s, t in times if s.do == "pull" and t.begins_s <= moment}
        open_vaults -= {s.vault for s, t in times if s.do == "clear" and t.ends_s <= moment}
        floor = {s.tag for s, t in times if s.do == "unpack" and t.begins_s <= moment}
        floor -= {s.tag for s, t in times if s.do == "load" and t.ends_s <= moment}
        assert len(open_vaults) <= request.dock.vault_spots
        assert 1_300_000 * len(floor) <= request.dock.floor_mm2


@given(dock_days())
def test_a_piece_is_out_before_it_is_in(day: tuple[LoadRequest, LoadPlan]) -> None:
    request, plan = day
    times = dict(zip(plan.steps, spans(request, plan, PACE), strict=True))
    ends = {(step.do, step.vault or step.tag): span.ends_s for step, span in times.items()}
    for step, span in times.items():
        if step.do == "unpack":
            assert ends["pull", request.vault_of(step.tag)] <= span.begins_s
        elif step.do == "load":
            assert ends["unpack", step.tag] <= span.begins_s
        elif step.do == "clear":
            inside = next(v.items for v in request.vaults if v.code == step.vault)
            assert all(ends["unpack", tag] <= span.begins_s for tag in inside)
