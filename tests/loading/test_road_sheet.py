"""The road sheet of a stored plan: by selector, API and page."""

from dataclasses import replace

import pytest

from loading.cautions import cautions_said
from loading.holding_words import centre_said
from loading.models import LoadPlan, Truck
from loading.planner.plan import LeftOff
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.request import LoadRequest
from loading.road.sheet import Caution
from loading.selectors import road_sheet
from loading.services import plan_run_create, plan_run_execute
from tests.loading.scenario import NOW, PLACEMENTS, HandSearch, load_made, truck_made
from tests.loading.test_truck_axles import AXLES


def planned(load, search=None) -> LoadPlan:
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False)
    plan = plan_run_execute(run_id=run.id, worker="one", now=NOW, search=search or HandSearch())
    assert plan is not None
    return plan


@pytest.fixture
def plan(load) -> LoadPlan:
    return planned(load)


@pytest.fixture
def heavy(branch) -> LoadPlan:
    """Axle 1 may weigh 1015 kg by its plate; the 40 kg aboard put 26.7 kg on it."""
    axles = [{**AXLES[0], "limit_kg": 1015}, *AXLES[1:]]
    return planned(load_made(branch, truck=truck_made(branch, axles=axles)))


def test_a_load_that_passes(plan):
    sheet = road_sheet(plan=plan)
    assert (sheet.load, sheet.truck, sheet.version) == ("LOAD-0001", "Truck 7", 1)
    assert (sheet.passes, sheet.over, sheet.advice) == (True, (), ())
    assert (sheet.load_g, sheet.gross_g) == (40_000, 2_040_000)
    # Front, supports at -500 and 2500: 20 kg * 2250/3000 + 20 kg * 1750/3000 = 26.7 kg.
    assert [support.gross_g for support in sheet.moments[0].supports] == [1_026_667, 1_013_333]
    assert [line.step for line in sheet.loading] == [4, 6, 10]
    assert [(strap.tier, strap.why.value) for strap in sheet.strappings] == [(2, "end_of_load")]
    assert sheet.groups == ()
    # Tier 1 alone: 20 kg at 250 mm from the nose, 750 mm behind the front support.
    (line,) = sheet.by_tier
    assert (line.tier, line.load_g, line.supports[0].gross_g) == (1, 20_000, 1_015_000)
    assert [tier.tier for tier in sheet.forces] == [1, 2]


def test_the_centre_stands_beside_its_limits(plan):
    centre = road_sheet(plan=plan).centre
    assert centre is not None
    length, width, height = plan.request_document["truck"]["interior_mm"]
    assert centre.limits_mm == (length * 5 // 100, width * 5 // 100, height // 2)
    assert centre.passes == (False, True, True, False)
    told = centre_said(centre, "metric")
    assert [line[0] for line in told] == ["Along", "Across", "In height", "In the heavier half"]
    assert told[0][1].endswith("ahead of the middle")
    assert told[3][1:] == (f"{centre.half_percent} %", "60 %", False)


def test_what_is_over_and_what_would_help(heavy):
    sheet = road_sheet(plan=heavy)
    assert not sheet.passes
    (over,) = sheet.over
    assert (over.kind.value, over.name, over.after_stop) == ("axle", "1", 0)
    assert (over.actual_g, over.limit_g) == (1_026_667, 1_015_000)
    assert sheet.mends
    assert [line.what for line in sheet.advice] == [("003",)]
    assert [line.names for line in sheet.advice] == [("trunk <oak>",)]
    assert [group.name for group in sheet.groups] == ["1", "2", "3", "1-2", "1-3", "2-3"]


def test_a_plan_keeps_the_axles_that_its_truck_had(heavy):
    Truck.objects.update(axles=[])
    heavy.refresh_from_db()
    assert not road_sheet(plan=heavy).passes


def test_without_checks_there_is_no_advice(heavy):
    sheet = road_sheet(plan=heavy, checks=0)
    assert (sheet.passes, sheet.advice, sheet.mends) == (False, (), False)


def test_an_empty_plan_has_no_centre(load):
    def nothing(request: LoadRequest) -> PlannedLoad:
        left = tuple(LeftOff(placed.tag, "stays") for placed in PLACEMENTS)
        return PlannedLoad(request.name, (), (), left_off=left)

    sheet = road_sheet(plan=planned(load, HandSearch(nothing)))
    assert (sheet.centre, sheet.strappings, sheet.load_g) == (None, (), 0)


def test_the_api_gives_the_sheet_in_grams(client, helper, heavy):
    client.force_login(helper)
    answer = client.get(f"/api/plans/{heavy.pk}/road-sheet/")
    assert answer.status_code == 200
    told = answer.json()
    assert told["over"] == [
        {
            "kind": "axle",
            "name": "1",
            "after_stop": 0,
            "actual_g": 1_026_667,
            "limit_g": 1_015_000,
            "over_g": 11_667,
        }
    ]
    assert told["advice"] == [{"change": "leave", "what": ["003"], "excess_g": 0}]
    assert told["moments"][0]["supports"][0]["name"] == "front axle"
    assert told["strappings"][0]["why"] == "end_of_load"
    assert told["forces"][0]["held"][1] in ("neighbours", "friction", "straps")
    assert told["by_tier"][0]["tier"] == 1
    assert told["centre"]["along"] in ("within", "special", "outside")
    assert "far_along" in told["cautions"]


def test_the_api_hides_it_from_another_branch_and_from_nobody(client, stranger, plan):
    address = f"/api/plans/{plan.pk}/road-sheet/"
    assert client.get(address).status_code == 401
    client.force_login(stranger)
    assert client.get(address).status_code == 404


def test_the_page_warns_and_says_what_would_help(client, helper, heavy):
    client.force_login(helper)
    page = client.get(f"/loading/plans/{heavy.pk}/road/")
    told = page.content.decode()
    assert page.status_code == 200
    assert "A planning aid." in told
    assert "This load must not drive off as it is." in told
    assert "Leave 003 trunk &lt;oak&gt; for another truck" in told
    assert "then all limits are kept" in told
    assert "<oak>" not in told


def test_the_page_of_a_load_that_passes_shows_its_straps(client, helper, plan):
    client.force_login(helper)
    told = client.get(f"/loading/plans/{plan.pk}/road/").content.decode()
    assert "Nothing is over a limit on the road." in told
    assert "end of the load" in told
    assert "webbing, 2 in, unmarked" in told
    assert "tier 1 loaded" in told
    assert "against the CTU Code" in told
    assert "what stands ahead of it" in told


def test_the_page_is_found_by_the_branch_only(client, stranger, plan):
    address = f"/loading/plans/{plan.pk}/road/"
    assert client.get(address).status_code == 302
    client.force_login(stranger)
    assert client.get(address).status_code == 404


def test_the_papers_of_a_plan_lead_to_it(client, helper, plan):
    client.force_login(helper)
    told = client.get(f"/loading/plans/{plan.pk}/").content.decode()
    assert f'href="/loading/plans/{plan.pk}/road/"' in told


@pytest.mark.parametrize("page", ["", "papers/"])
def test_a_plan_that_may_not_drive_warns_wherever_it_is_used(client, helper, heavy, page):
    client.force_login(helper)
    told = client.get(f"/loading/plans/{heavy.pk}/{page}").content.decode()
    assert "This load must not drive off as it is." in told
    assert f'href="/loading/plans/{heavy.pk}/road/"' in told


@pytest.mark.parametrize("page", ["", "papers/"])
def test_a_plan_that_may_drive_does_not(client, helper, plan, page):
    client.force_login(helper)
    told = client.get(f"/loading/plans/{plan.pk}/{page}").content.decode()
    assert "must not drive" not in told


def test_lengths_in_cautions_are_the_readers(plan):
    sheet = replace(road_sheet(plan=plan), cautions=(Caution.VOIDS,))
    assert cautions_said(sheet, "metric") == ("Void spaces add up to more than 15 cm: fill them.",)
    assert cautions_said(sheet, "imperial") == ("Void spaces add up to more than 6 in: fill them.",)
