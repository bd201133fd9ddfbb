"""The pull sheet and the tier sheets of the plan by hand, and what a new version changes."""

from dataclasses import replace

import pytest

from loading.errors import NoPlanYet
from loading.planner.plan import Fill, LeftOff, LoadPlan, Step
from loading.planner.request import parse_request
from loading.selectors import (
    PieceInVault,
    VaultPlace,
    dock_report,
    load_plan_demanded,
    load_request_document,
    pull_sheet,
    tier_sheets,
    warehouse_yard,
)
from loading.selectors.comparison import plan_change_of
from loading.selectors.documents import places_kept
from loading.selectors.pull_sheet import pull_lines_of
from loading.selectors.straps import plan_holding
from loading.selectors.tier_sheets import tier_sheets_of
from loading.services import plan_run_create, plan_run_execute
from tests.loading.scenario import NOW, PLACEMENTS, STEPS, HandSearch, plan_by_hand


@pytest.fixture
def plan(load):
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False)
    return plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch())


@pytest.fixture
def request_read(load):
    return parse_request(load_request_document(load=load))


def test_load_without_plan_says_so(load):
    with pytest.raises(NoPlanYet, match="LOAD-0001"):
        load_plan_demanded(load=load)


def test_pull_sheet_tells_every_warehouse_action_in_order(plan):
    told = [(line.number, line.step, line.do, line.vault or line.tag) for line in lines(plan)]
    assert told == [
        (1, 1, "move", "X9"),
        (2, 2, "pull", "V1"),
        (3, 8, "clear", "V1"),
        (4, 9, "fetch", "003"),
    ]


def test_piece_that_stays_goes_back_into_its_vault_and_the_vault_into_a_lane(request_read):
    steps = (
        Step("pull", vault="V1"),
        Step("unpack", tag="001"),
        Step("return", tag="001"),
        Step("store", vault="V1", lane="B"),
        Step("fetch", tag="003"),
        Step("return", tag="003"),
    )
    told = [
        (line.do, line.vault or line.tag, line.into, line.to)
        for line in pull_lines_of(request_read, steps)
    ]
    assert told[1:3] == [
        ("return", "001", "V1", None),
        ("store", "V1", None, VaultPlace("B", 1, 1)),
    ]
    assert told[-1] == ("return", "003", None, None)


def lines(plan):
    return pull_sheet(plan=plan).lines


def test_vault_that_is_set_aside_says_whence_where_and_what_for(plan):
    move = lines(plan)[0]
    assert (move.at, move.to) == (VaultPlace("A", 1, 2), VaultPlace("B", 1, 1))
    assert (move.ours, move.moved_for) == (False, "V1")


def test_pulled_vault_says_where_it_stands_what_is_in_it_and_when_it_goes(plan):
    pull = lines(plan)[1]
    assert (pull.at, pull.to, pull.ours) == (VaultPlace("A", 1, 1), None, True)
    assert pull.contents == (
        PieceInVault("001", "carton", True),
        PieceInVault("002", "carton", True),
    )
    assert pull.off_dock_step == 8


def test_loose_piece_is_fetched_by_name(plan):
    assert lines(plan)[3].name == "trunk <oak>"


def test_a_loose_piece_is_fetched_from_where_somebody_put_it(plan):
    fetch = next(line for line in pull_sheet(plan=plan).lines if line.do == "fetch")
    assert (fetch.tag, fetch.place) == ("003", "corner")


def test_a_later_request_keeps_the_places_that_the_former_told():
    former = {"items": [{"tag": "003", "place": "corner"}, {"tag": "001"}]}
    later = {"items": [{"tag": "001"}, {"tag": "003"}], "pad_mm": 10}
    assert places_kept(document=later, former=former) == {
        "items": [{"tag": "001"}, {"tag": "003", "place": "corner"}],
        "pad_mm": 10,
    }


def test_tier_sheets_go_from_the_nose_and_in_loading_order(plan):
    sheets = tier_sheets(plan=plan)
    told = [
        (s.tier, s.from_mm, s.to_mm, s.weight_g, s.closed_step, [line.key for line in s.lines])
        for s in sheets
    ]
    assert told == [
        (1, 0, 500, 20_000, 7, ["001", "002"]),
        (2, 500, 1000, 20_000, 11, ["003"]),
    ]


def test_tier_line_tells_the_place_of_a_piece(plan):
    line = tier_sheets(plan=plan)[1].lines[0]
    assert (line.step, line.posture, line.level) == (10, "standing", "base")
    assert (line.left_mm, line.right_mm, line.on_deck, line.rests_on) == (10, 10, True, ())


def test_piece_on_others_names_all_that_carry_it(request_read):
    first, second, third = PLACEMENTS
    roll = Fill(1, 1, (0, 0, 500), (500, 300, 30), 1)
    above = replace(third, tier=1, at_mm=(0, 10, 500))
    sheets = tier_sheets_of(
        request_read, LoadPlan("LOAD-0001", STEPS, (first, second, above), (roll,))
    )
    by_key = {line.key: line for line in sheets[0].lines}
    assert by_key["003"].rests_on == ("001", "002")
    assert by_key["fill 1"].rests_on == ("001",)
    assert not by_key["003"].on_deck


def test_steps_of_the_progress_are_done(request_read, load):
    progress = {
        "steps": [{"do": "move", "vault": "X9", "lane": "B"}, {"do": "pull", "vault": "V1"}],
        "placements": [],
        "fills": [],
    }
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False, progress=progress)
    plan = plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch())
    assert [line.done for line in lines(plan)] == [True, True, False, False]


def test_new_version_is_told_by_what_it_changes(request_read):
    former = plan_by_hand(request_read)
    first, second, _ = PLACEMENTS
    new = replace(
        former,
        placements=(replace(first, at_mm=(0, 1, 0)), replace(second, tier=2)),
        left_off=(LeftOff("003", "no room"),),
    )
    change = plan_change_of(former, new)
    assert (change.kept, change.other_place, change.other_tier) == (0, ("001",), ("002",))
    assert (change.now_left_off, change.now_loaded) == (("003",), ())
    assert plan_change_of(new, former).now_loaded == ("003",)
    assert plan_change_of(former, former).kept == 3


def test_dock_report_tells_peak_waits_and_pads(plan):
    report = dock_report(plan=plan)
    assert (report.timeline.peak.step, report.timeline.peak.pieces) == (9, 1)
    assert report.timeline.spots_peak == 1
    assert report.pads.needed == 0


def test_branch_lanes_are_read_with_whose_vaults_stand_there(load, django_assert_num_queries):
    branch, shipment = load.branch, load.release.shipment
    with django_assert_num_queries(2):
        now = warehouse_yard(branch=branch, shipment=shipment)
    told = [(lane.name, [v.code for v in lane.vaults], lane.free) for lane in now.lanes]
    assert told == [("A", ["V1", "X9"], 0), ("B", [], 2)]
    assert now.own == ("V1",)


def test_branch_lanes_without_a_shipment_hold_others_vaults_only(load):
    assert warehouse_yard(branch=load.branch).own == ()


def test_a_tier_sheet_says_what_the_road_asks_of_the_tier(plan, client, helper):
    first, second = tier_sheets(plan=plan)
    assert first.straps is None
    assert second.straps is not None
    assert second.straps.strapping == plan_holding(plan=plan).strappings[0]
    client.force_login(helper)
    told = client.get(f"/api/plans/{plan.pk}/tiers/").json()
    assert [sheet["straps"] and sheet["straps"]["strapping"]["straps"] for sheet in told] == [
        None,
        1,
    ]
    page = client.get(f"/loading/plans/{plan.pk}/").content.decode()
    assert "Behind tier 2: one strap or load bar from wall to wall" in page
    assert "Behind tier 1" not in page
