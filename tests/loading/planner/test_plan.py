"""Reading and writing load plans. The form is judged here, the rules are the checker's."""

import copy
from typing import Any

import pytest

from loading.planner.errors import PlanError
from loading.planner.plan import Step, parse_plan, plan_document
from tests.loading.planner.scene import from_vaults


def document() -> dict[str, Any]:
    plan = copy.deepcopy(from_vaults().plan)
    plan["fills"] = [{"fill": 1, "tier": 2, "at_mm": [0, 0, 0], "size_mm": [9, 9, 9], "pads": 1}]
    plan["left_off"] = [{"tag": "006", "reason": "no room is left"}]
    plan["warnings"] = ["A long way with spring suspension."]
    plan["figures"] = {"space_use": 0.61, "side_travel": [10, 20]}
    return plan


def faults(plan: object) -> list[str]:
    with pytest.raises(PlanError) as caught:
        parse_plan(plan)
    return [fault.pointer for fault in caught.value.faults]


def test_the_document_comes_back_as_it_was() -> None:
    plan = document()
    assert plan_document(parse_plan(plan)) == plan


def test_every_kind_of_step_comes_back_with_what_it_names() -> None:
    plan = document()
    plan["steps"] = [
        {"do": "move", "vault": "V", "lane": "A"},
        {"do": "pull", "vault": "V"},
        {"do": "unpack", "tag": "1"},
        {"do": "fetch", "tag": "1"},
        {"do": "load", "tag": "1"},
        {"do": "fill", "fill": 1},
        {"do": "close", "tier": 1},
        {"do": "clear", "vault": "V"},
        {"do": "return", "tag": "1"},
        {"do": "store", "vault": "V", "lane": "A"},
        {"do": "take_out", "tag": "1"},
    ]
    assert plan_document(parse_plan(plan)) == plan
    assert parse_plan(plan).steps[0] == Step("move", vault="V", lane="A")


@pytest.mark.parametrize("key", ["request", "steps", "placements"])
def test_a_missing_key_is_named(key: str) -> None:
    plan = document()
    del plan[key]
    assert faults(plan) == [f"/{key}"]


@pytest.mark.parametrize("key", ["fills", "left_off", "warnings", "figures", "form"])
def test_what_may_be_missing(key: str) -> None:
    plan = document()
    del plan[key]
    assert len(parse_plan(plan).placements) == 5


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("at_mm", [0, 0]),
        ("at_mm", [0, 0, 10.5]),
        ("size_mm", [0, 0, "10"]),
        ("tier", 1.5),
        ("tier", "1"),
        ("tag", 1),
        ("posture", None),
    ],
)
def test_a_placement_of_the_wrong_form(key: str, value: object) -> None:
    plan = document()
    plan["placements"][1][key] = value
    assert all(found.startswith(f"/placements/1/{key}") for found in faults(plan))


def test_a_step_that_names_nothing() -> None:
    plan = document()
    plan["steps"][0] = {"do": "pull"}
    assert faults(plan) == ["/steps/0/vault"]


@pytest.mark.parametrize("plan", [None, [], {}, {"form": "load-request/1"}])
def test_what_is_no_plan_at_all(plan: object) -> None:
    assert faults(plan)
