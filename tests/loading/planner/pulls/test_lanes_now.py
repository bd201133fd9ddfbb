"""A begun load is planned anew from lanes that other loads have changed meanwhile."""

from dataclasses import replace
from typing import Any

from loading.planner.plan import Step
from loading.planner.pulls import Yard, lanes_as_they_stand, lanes_left_by, yard_of
from loading.planner.request import LoadRequest, parse_request, request_document
from tests.loading.planner.scene import empty_request, item

MOVED = {"do": "move", "vault": "X1", "lane": "B"}
PULLED = {"do": "pull", "vault": "V1"}


def begun(*steps: dict[str, Any]) -> LoadRequest:
    """Lane A: V2 at the far end, then X2, V1, and X1 nearest the aisle. B and C are empty."""
    document = empty_request()
    document["lanes"] = {"depth": 4, "levels": 1, "names": ["A", "B", "C"]}
    document["vaults"] = [
        {"code": "V1", "lane": "A", "depth": 2, "level": 1, "items": ["1"]},
        {"code": "V2", "lane": "A", "depth": 4, "level": 1, "items": ["2"]},
    ]
    document["other_vaults"] = [
        {"code": "X1", "lane": "A", "depth": 1, "level": 1},
        {"code": "X2", "lane": "A", "depth": 3, "level": 1},
    ]
    document["items"] = [item(tag, (500, 500, 500)) for tag in "12"]
    document["progress"] = {"steps": list(steps), "placements": [], "fills": []}
    return parse_request(document)


def now(request: LoadRequest, *of_others: Step) -> Yard:
    """The lanes after what this load has done and then others did."""
    assert request.progress is not None
    return yard_of(request).after(request.progress.steps).after(of_others)


def stands(request: LoadRequest, code: str) -> tuple[str, int, int] | None:
    vaults = [*request.vaults, *request.other_vaults]
    return next(((v.lane, v.depth, v.level) for v in vaults if v.code == code), None)


def reached(request: LoadRequest) -> dict[str, str]:
    """What stands in each lane once the progress is done."""
    assert request.progress is not None
    lanes = yard_of(request).after(request.progress.steps).lanes
    return {lane.name: " ".join(v.code for v in lane.vaults) for lane in lanes}


def test_where_nobody_else_was_nothing_changes() -> None:
    request = begun(MOVED, PULLED)
    brought = lanes_as_they_stand(request, now(request))
    assert reached(brought) == reached(request)
    assert brought.vaults == request.vaults


def test_a_vault_that_another_load_moved_stands_where_it_is_now() -> None:
    request = begun(MOVED, PULLED)
    brought = lanes_as_they_stand(request, now(request, Step("move", vault="X2", lane="C")))
    assert stands(brought, "X2") == ("C", 4, 1)
    assert reached(brought) == {"A": "V2", "B": "X1", "C": "X2"}


def test_a_vault_that_another_load_took_is_in_the_way_no_more() -> None:
    request = begun(MOVED, PULLED)
    brought = lanes_as_they_stand(request, now(request, Step("pull", vault="X2")))
    assert stands(brought, "X2") is None
    assert reached(brought) == {"A": "V2", "B": "X1", "C": ""}


def test_this_loads_vault_that_another_load_moved_is_found() -> None:
    request = begun(MOVED, PULLED)
    others = Step("move", vault="X2", lane="C"), Step("move", vault="V2", lane="C")
    brought = lanes_as_they_stand(request, now(request, *others))
    assert stands(brought, "V2") == ("C", 3, 1)


def test_a_vault_that_came_into_a_lane_is_known() -> None:
    request = begun(MOVED, PULLED)
    brought = lanes_as_they_stand(request, now(request, Step("store", vault="Y7", lane="C")))
    assert stands(brought, "Y7") == ("C", 4, 1)


def test_what_no_start_leads_to_leaves_the_request_as_it_is() -> None:
    """X1, which this load has moved, was moved on by another."""
    request = begun(MOVED, PULLED)
    assert lanes_as_they_stand(request, now(request, Step("move", vault="X1", lane="C"))) == request


def test_a_load_finds_the_lanes_that_the_one_before_leaves() -> None:
    """The other load sets X1 aside and pulls X2; V1, which it sets aside for that, is not its."""
    steps = [
        Step("move", vault="X1", lane="B"),
        Step("move", vault="V1", lane="C"),
        Step("pull", vault="X2"),
    ]
    left = lanes_left_by(begun(), steps)
    assert [stands(left, code) for code in ("V1", "V2", "X1", "X2")] == [
        *(("C", 4, 1), ("A", 4, 1), ("B", 4, 1), None),
    ]
    assert parse_request(request_document(left)) == left


def test_a_vault_of_its_own_that_another_load_pulls_stays_in_the_request() -> None:
    left = lanes_left_by(begun(), [Step("move", vault="X1", lane="B"), Step("pull", vault="V1")])
    assert stands(left, "V1") == ("A", 2, 1)


def test_once_begun_no_other_load_is_waited_for() -> None:
    request = replace(begun(MOVED), after_loads=("L-1",))
    assert lanes_as_they_stand(request, now(request)).after_loads == ()
