"""What fits here, and where a reported piece stands, over the API."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from loading.models import LoadPlan
from loading.services import plan_run_create, plan_run_execute
from tests.loading.scenario import NOW, HandSearch

BESIDE = {"beside": "001", "side": "right"}
# The two steps of V1, then 001 is on the floor and in its place.
FIRST_LOADED = 4


@pytest.fixture
def plan(load) -> LoadPlan:
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False)
    return plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch())


def asked(user, plan: LoadPlan, kind: str = "fits", **body: Any):
    client = APIClient()
    if user is not None:
        client.force_authenticate(user)
    return client.post(f"/api/loads/{plan.load_id}/{kind}/", body, format="json")


def test_a_helper_asks_what_fits_beside_a_piece(plan, helper):
    answer = asked(helper, plan, steps_done=FIRST_LOADED, gap=BESIDE).json()

    assert answer["gap"]["at_mm"] == [0, 500, 0]
    assert answer["gap"]["size_mm"] == [500, 500, 1000]
    best = answer["may_go"][0]
    assert (best["tag"], best["name"], best["posture"]) == ("002", "carton", "standing")
    assert best["at_mm"] == [0, 500, 0]
    assert best["play"] == {"left_mm": 0, "right_mm": 0, "nose_mm": 0, "above_mm": 500}
    assert best["where"] == {"place": "open_vault", "vault": "V1", "pieces_before": 0}
    assert best["objections"] == []
    assert answer["rolls"]["pads"] == 10


def test_a_point_of_the_picture_and_a_tape(plan, helper):
    gap = {"y_mm": 700, "z_mm": 100, "depth_mm": 510, "width_mm": 490, "height_mm": 700}

    answer = asked(helper, plan, steps_done=FIRST_LOADED, gap=gap).json()

    assert answer["gap"]["size_mm"] == [510, 490, 700]
    assert answer["may_go"] == []


def test_measures_alone(plan, helper):
    gap = {"depth_mm": 600, "width_mm": 520, "height_mm": 980}

    answer = asked(helper, plan, steps_done=FIRST_LOADED, gap=gap).json()

    assert answer["gap"]["at_mm"] == [0, 500, 0]


def test_the_progress_of_the_floor_counts(plan, helper):
    progress = {
        "steps": [{"do": "fetch", "tag": "003"}, {"do": "load", "tag": "003"}],
        "placements": [
            {
                "tag": "003",
                "tier": 1,
                "level": "base",
                "at_mm": [0, 10, 0],
                "size_mm": [500, 980, 500],
                "posture": "standing",
                "inside": None,
            }
        ],
        "fills": [],
    }

    answer = asked(helper, plan, progress=progress, gap={"beside": "003", "side": "above"}).json()

    assert [fit["tag"] for fit in answer["may_go"]] == ["001", "002"]
    assert answer["may_go"][0]["where"]["place"] == "vault"


def test_what_is_wrong_with_a_progress_is_named(plan, helper):
    answer = asked(helper, plan, progress={"steps": [{"do": "fly"}]}, gap=BESIDE)

    assert answer.status_code == 422
    assert "/progress/steps/0/do" in {fault["pointer"] for fault in answer.json()["errors"]}


@pytest.mark.parametrize(
    ("gap", "pointer"),
    [
        ({}, "/gap"),
        ({"y_mm": 5}, "/gap/z_mm"),
        ({"width_mm": 500}, "/gap/depth_mm"),
        ({"beside": "001"}, "/gap/side"),
        ({"beside": "001", "side": "under"}, "/gap/side"),
        ({"y_mm": -1, "z_mm": 5}, "/gap/y_mm"),
    ],
)
def test_a_gap_that_is_no_gap(plan, helper, gap, pointer):
    answer = asked(helper, plan, gap=gap)

    assert answer.status_code == 422
    assert [fault["pointer"] for fault in answer.json()["errors"]] == [pointer]


def test_where_there_is_no_gap_it_says_so(plan, helper):
    answer = asked(helper, plan, gap={"beside": "001", "side": "left"})

    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/no-such-gap")


def test_a_reported_place_is_snapped(plan, helper):
    answer = asked(
        helper, plan, "place", tag="001", tier=1, posture="standing", y_mm=270, z_mm=230
    ).json()

    assert (answer["at_mm"], answer["moved_mm"]) == ([0, 20, 0], 20)
    assert (answer["estimated"], answer["against"]) == (True, [])


@pytest.mark.parametrize("change", [{"tag": "999"}, {"posture": "on_end"}])
def test_a_place_that_cannot_be(plan, helper, change):
    wish = {"tag": "001", "tier": 1, "posture": "standing", "y_mm": 250, "z_mm": 250, **change}

    answer = asked(helper, plan, "place", **wish)

    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == f"/{next(iter(change))}"


@pytest.mark.parametrize("kind", ["fits", "place"])
def test_who_may_ask(plan, stranger, kind):
    wish = {"gap": BESIDE, "tag": "001", "tier": 1, "posture": "standing", "y_mm": 0, "z_mm": 0}

    assert asked(None, plan, kind, **wish).status_code == 401
    assert asked(stranger, plan, kind, **wish).status_code == 404


def test_a_load_without_a_plan(load, helper):
    client = APIClient()
    client.force_authenticate(helper)

    answer = client.post(f"/api/loads/{load.pk}/fits/", {"gap": BESIDE}, format="json")

    assert (answer.status_code, answer.json()["type"]) == (404, "/problems/no-plan-yet")
