"""The API of loading, endpoint by endpoint: works, not yours, not signed in, bad input."""

from uuid import uuid4
from xml.etree import ElementTree as ET

import pytest
from django.db import connection
from django.forms.models import model_to_dict
from django.test import Client
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from loading.models import Dock, Load, LoadPlan, PlanRun, Truck
from loading.services import plan_run_create, plan_run_execute
from tests.loading.scenario import NOW, SUPPORTS, HandSearch, dock_made, release_made, truck_made

TRUCK = {
    "branch": "north",
    "name": "Truck 8",
    "interior_mm": [3000, 1000, 1000],
    "door_mm": [1000, 1000],
    "payload_kg": 2000.5,
    "ride": "air",
    "supports": SUPPORTS,
    "blocked": [{"name": "wheel box", "at_mm": [2000, 0, 0], "size_mm": [500, 100, 100]}],
}


def signed_in(user) -> APIClient:
    client = APIClient()
    client.force_authenticate(user)
    return client


@pytest.fixture
def plan(load) -> LoadPlan:
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False)
    return plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch())


def addresses(plan: LoadPlan) -> list[str]:
    load = plan.load
    return [
        f"/api/trucks/{load.truck_id}/",
        f"/api/docks/{load.dock_id}/",
        f"/api/loads/{load.pk}/",
        f"/api/plan-runs/{plan.run_id}/",
        f"/api/plans/{plan.pk}/",
        f"/api/plans/{plan.pk}/pull-sheet/",
        f"/api/plans/{plan.pk}/tiers/",
        f"/api/plans/{plan.pk}/tiers/1/picture/",
        f"/api/plans/{plan.pk}/truck/side/",
        f"/api/plans/{plan.pk}/truck/top/",
    ]


# ── Every address that reads ────────────────────────────────────────────────────────────────────
def test_whoever_works_at_the_branch_may_read(plan, helper):
    client = signed_in(helper)
    assert {client.get(address).status_code for address in addresses(plan)} == {200}


def test_another_branch_finds_nothing(plan, stranger):
    client = signed_in(stranger)
    assert {client.get(address).status_code for address in addresses(plan)} == {404}


def test_nobody_reads_without_signing_in(plan):
    client = APIClient()
    assert {client.get(address).status_code for address in addresses(plan)} == {401}


@pytest.mark.parametrize("kind", ["trucks", "docks", "loads", "plan-runs", "plans"])
def test_lists_hold_what_is_of_ones_own_branch(plan, helper, stranger, kind):
    assert signed_in(helper).get(f"/api/{kind}/").json()["count"] == 1
    assert signed_in(stranger).get(f"/api/{kind}/").json()["count"] == 0
    assert APIClient().get(f"/api/{kind}/").status_code == 401


@pytest.mark.parametrize("kind", ["loads", "plan-runs", "plans"])
def test_longer_list_asks_the_database_no_more(load, plan, helper, kind, django_assert_num_queries):
    client = signed_in(helper)
    with CaptureQueriesContext(connection) as short:
        client.get(f"/api/{kind}/")
    for number in (2, 3):
        Load.objects.create(
            **model_to_dict(
                load, exclude=["id", "branch", "release", "besides", "truck", "dock", "reference"]
            ),
            branch=load.branch,
            release=load.release,
            truck=load.truck,
            dock=load.dock,
            reference=f"LOAD-000{number}",
        )
        run = plan_run_create(load=load, seed=number, budget_s=5, send=False)
        plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch())
    with django_assert_num_queries(len(short)):
        assert client.get(f"/api/{kind}/").json()["count"] == 3


# ── Trucks and docks ────────────────────────────────────────────────────────────────────────────
def test_truck_is_added_and_told_in_the_words_of_the_contract(dispatcher):
    answer = signed_in(dispatcher).post("/api/trucks/", TRUCK)
    assert answer.status_code == 201
    assert {key: answer.json()[key] for key in TRUCK} == TRUCK
    assert Truck.objects.get().payload_g == 2_000_500


def test_bad_truck_is_answered_with_the_keys_that_are_wrong(dispatcher):
    wrong = {**TRUCK, "supports": [{**SUPPORTS[0], "tare_kg": -1}, SUPPORTS[1]]}
    answer = signed_in(dispatcher).post("/api/trucks/", wrong)
    assert answer.status_code == 422
    assert answer["Content-Type"] == "application/problem+json"
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/supports/0/tare_kg"]
    assert not Truck.objects.exists()


@pytest.mark.parametrize(
    ("changed", "pointer"),
    [
        ({"interior_mm": ["long", 1000, 1000]}, "/interior_mm/0"),
        ({"interior_mm": [3000, 1000]}, "/interior_mm"),
        ({"payload_kg": "much"}, "/payload_kg"),
        ({"payload_kg": -3}, "/payload_kg"),
        ({"ride": "bouncy"}, "/ride"),
        ({"supports": []}, "/supports"),
        ({"name": ""}, "/name"),
    ],
)
def test_text_in_a_number_and_such_is_told_by_its_key(dispatcher, changed, pointer):
    answer = signed_in(dispatcher).post("/api/trucks/", TRUCK | changed)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"].startswith(pointer)
    assert not Truck.objects.exists()


def test_other_truck_of_that_name_is_a_conflict(dispatcher):
    client = signed_in(dispatcher)
    assert client.post("/api/trucks/", TRUCK).status_code == 201
    assert client.post("/api/trucks/", TRUCK).status_code == 201
    assert client.post("/api/trucks/", TRUCK | {"payload_kg": 1}).status_code == 409
    assert Truck.objects.count() == 1


DOCK = {"branch": "north", "name": "Door 3", "vault_spots": 4, "floor_m2": 18.5}


def test_dock_is_added(dispatcher):
    answer = signed_in(dispatcher).post("/api/docks/", DOCK)
    assert answer.status_code == 201
    assert {key: answer.json()[key] for key in DOCK} == DOCK
    assert Dock.objects.get().floor_mm2 == 18_500_000


# ── Loads ───────────────────────────────────────────────────────────────────────────────────────
@pytest.fixture
def load_wish(branch) -> dict[str, object]:
    return {
        "reference": "LOAD-0002",
        "release": release_made(branch).pk,
        "truck": truck_made(branch).pk,
        "dock": dock_made(branch).pk,
        "distance_km": 12.5,
    }


def test_load_is_added(dispatcher, load_wish):
    answer = signed_in(dispatcher).post("/api/loads/", load_wish)
    assert answer.status_code == 201
    assert {key: answer.json()[key] for key in load_wish} == load_wish
    assert Load.objects.get().reference == "LOAD-0002"


def test_load_of_an_unknown_truck_is_not_found(dispatcher, load_wish):
    answer = signed_in(dispatcher).post("/api/loads/", load_wish | {"truck": 0})
    assert answer.status_code == 404
    assert "truck 0" in answer.json()["detail"]
    assert not Load.objects.exists()


def test_pull_order_that_names_no_vault_is_told_by_its_key(dispatcher, load_wish):
    answer = signed_in(dispatcher).post("/api/loads/", load_wish | {"pull_order": ["V9"]})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/pull_order/0"


# ── Plan runs ───────────────────────────────────────────────────────────────────────────────────
def run_wish(load: Load, **changed: object) -> dict[str, object]:
    return {"id": str(uuid4()), "load": load.pk, "seed": 3, "budget_s": 2.5} | changed


def test_run_is_queued_and_can_be_followed(dispatcher, load):
    wish = run_wish(load)
    client = signed_in(dispatcher)
    answer = client.post("/api/plan-runs/", wish)
    assert answer.status_code == 202
    told = client.get(f"/api/plan-runs/{wish['id']}/").json()
    assert told == answer.json()
    assert (told["status"], told["share"], told["pieces"], told["plan"]) == ("queued", 0, 3, None)
    assert PlanRun.objects.get().requested_by == dispatcher


def test_run_that_is_done_tells_its_plan(helper, plan):
    told = signed_in(helper).get(f"/api/plan-runs/{plan.run_id}/").json()
    assert (told["status"], told["plan"], told["pieces_placed"]) == ("done", plan.pk, 3)


def test_same_id_twice_is_one_run_and_another_wish_is_a_conflict(dispatcher, load):
    client, wish = signed_in(dispatcher), run_wish(load)
    first, second = (client.post("/api/plan-runs/", wish) for _ in range(2))
    assert (first.status_code, first.json()) == (second.status_code, second.json())
    assert client.post("/api/plan-runs/", wish | {"seed": 4}).status_code == 409
    assert PlanRun.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "pointer"),
    [
        ({"id": "tomorrow"}, "/id"),
        ({"budget_s": 0}, "/budget_s"),
        ({"budget_s": 1e9}, "/budget_s"),
        ({"seed": -1}, "/seed"),
        ({"progress": []}, "/progress"),
        (
            {"progress": {"steps": [{"do": "fetch", "tag": "999"}], "placements": [], "fills": []}},
            "/progress/steps/0/tag",
        ),
    ],
)
def test_bad_wish_is_told_by_its_key_and_not_stored(dispatcher, load, changed, pointer):
    answer = signed_in(dispatcher).post("/api/plan-runs/", run_wish(load, **changed))
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer
    assert not PlanRun.objects.exists()


def test_rubbish_is_no_wish(dispatcher):
    client = signed_in(dispatcher)
    answer = client.post("/api/plan-runs/", b"\xff\xfe{", content_type="application/json")
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"


def test_run_is_cancelled_once_and_a_finished_one_is_a_conflict(dispatcher, load, plan):
    client, wish = signed_in(dispatcher), run_wish(load)
    client.post("/api/plan-runs/", wish)
    for _ in range(2):
        answer = client.post(f"/api/plan-runs/{wish['id']}/cancel/")
        assert (answer.status_code, answer.json()["status"]) == (200, "cancelled")
    assert client.post(f"/api/plan-runs/{plan.run_id}/cancel/").status_code == 409


def test_run_is_accepted_early_once_and_a_finished_one_is_a_conflict(dispatcher, load, plan):
    client, wish = signed_in(dispatcher), run_wish(load)
    client.post("/api/plan-runs/", wish)
    told = [client.post(f"/api/plan-runs/{wish['id']}/accept-early/") for _ in range(2)]
    assert {answer.status_code for answer in told} == {200}
    assert told[0].json()["enough_at"]
    assert told[0].json()["enough_at"] == told[1].json()["enough_at"]
    assert client.post(f"/api/plan-runs/{plan.run_id}/accept-early/").status_code == 409


# ── Who may write ───────────────────────────────────────────────────────────────────────────────
def test_helper_reads_but_changes_nothing(helper, load, plan):
    client = signed_in(helper)
    answers = [
        client.post("/api/trucks/", TRUCK),
        client.post("/api/docks/", DOCK),
        client.post("/api/plan-runs/", run_wish(load)),
        client.post(f"/api/plan-runs/{plan.run_id}/cancel/"),
        client.post(f"/api/plan-runs/{plan.run_id}/accept-early/"),
    ]
    assert {answer.status_code for answer in answers} == {403}
    assert (Truck.objects.count(), Dock.objects.count(), PlanRun.objects.count()) == (1, 1, 1)


def test_stranger_cannot_write_to_a_branch_he_does_not_see(stranger, load, plan):
    client = signed_in(stranger)
    answers = [
        client.post("/api/trucks/", TRUCK),
        client.post("/api/docks/", DOCK),
        client.post("/api/plan-runs/", run_wish(load)),
        client.post(f"/api/plan-runs/{plan.run_id}/cancel/"),
        client.post(f"/api/plan-runs/{plan.run_id}/accept-early/"),
    ]
    assert {answer.status_code for answer in answers} == {404}


def test_nobody_writes_without_signing_in(load, plan):
    client = APIClient()
    answers = [
        client.post("/api/trucks/", TRUCK),
        client.post("/api/docks/", DOCK),
        client.post("/api/loads/", {}),
        client.post("/api/plan-runs/", run_wish(load)),
        client.post(f"/api/plan-runs/{plan.run_id}/cancel/"),
        client.post(f"/api/plan-runs/{plan.run_id}/accept-early/"),
    ]
    assert {answer.status_code for answer in answers} == {401}


def test_stored_plan_offers_no_way_to_change_it(dispatcher, plan):
    client = signed_in(dispatcher)
    address = f"/api/plans/{plan.pk}/"
    answers = [client.put(address, {}), client.patch(address, {}), client.delete(address)]
    assert {answer.status_code for answer in answers} == {405}


# ── Plans ───────────────────────────────────────────────────────────────────────────────────────
def test_plan_is_told_with_both_documents(helper, plan):
    told = signed_in(helper).get(f"/api/plans/{plan.pk}/").json()
    assert told["document"] == plan.document
    assert told["request_document"]["form"] == "load-request/1"
    assert told["figures"]["loaded"] == 3


def test_versions_of_a_load_are_listed_without_their_documents(helper, plan):
    told = signed_in(helper).get(f"/api/plans/?load={plan.load_id}").json()["results"]
    assert [(one["version"], "document" in one) for one in told] == [(1, False)]


def test_sheets_are_told_as_the_selectors_give_them(helper, plan):
    client = signed_in(helper)
    pulls = client.get(f"/api/plans/{plan.pk}/pull-sheet/").json()
    assert [line["do"] for line in pulls["lines"]] == ["move", "pull", "clear", "fetch"]
    assert pulls["lines"][0]["to"] == {"lane": "B", "depth": 1, "level": 1}
    tiers = client.get(f"/api/plans/{plan.pk}/tiers/").json()
    assert [(tier["tier"], tier["depth_mm"], tier["pieces"]) for tier in tiers] == [
        (1, 500, 2),
        (2, 500, 1),
    ]


@pytest.mark.parametrize("accept", ["image/svg+xml", "image/*", "*/*"])
def test_picture_is_svg(helper, plan, accept):
    client = signed_in(helper)
    answer = client.get(f"/api/plans/{plan.pk}/tiers/1/picture/?highlight=001", HTTP_ACCEPT=accept)
    assert answer["Content-Type"] == "image/svg+xml"
    assert ET.fromstring(answer.content).tag.endswith("svg")


def test_picture_of_a_tier_that_is_not_there(helper, plan):
    answer = signed_in(helper).get(f"/api/plans/{plan.pk}/tiers/9/picture/")
    assert answer.status_code == 404
    assert answer.json()["detail"] == "the plan has tiers 1 to 2, not 9"


# ── The page of a plan ──────────────────────────────────────────────────────────────────────────
def test_page_shows_the_papers_of_a_plan(plan, helper):
    client = Client()
    client.force_login(helper)
    page = client.get(f"/loading/plans/{plan.pk}/")
    assert page.status_code == 200
    told = page.content.decode()
    # The truck from two sides, the lanes, one vault shifted, the dock, two tiers.
    assert told.count('<svg xmlns="http://www.w3.org/2000/svg"') == 7
    assert "stands before V1" in told
    assert "trunk &lt;oak&gt;" in told
    assert "<oak>" not in told


def test_page_is_found_by_the_branch_only(plan, stranger):
    client = Client()
    address = f"/loading/plans/{plan.pk}/"
    assert client.get(address).status_code == 302
    client.force_login(stranger)
    assert client.get(address).status_code == 404
