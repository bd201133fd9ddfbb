"""The papers of the plan by hand, read back from the PDF."""

import pytest
from django.utils import translation

from inventory.labels.text import printable
from loading.cautions import WORDS, cautions_said
from loading.holding_words import HELD, centre_said, forces_said
from loading.measures import weight
from loading.papers import PLAN_PAPERS, PaperForm, words
from loading.papers.paper import Column, heading, paragraph, pdf, table
from loading.planner.plan import LoadPlan, Step
from loading.road.sheet import Caution
from loading.road.tier_forces import By
from loading.selectors import road_sheet
from loading.selectors.straps import tier_straps
from loading.services import plan_run_create, plan_run_execute
from tests.loading.papers.reading import pages_of, sheet_of, words_of
from tests.loading.scenario import (
    NOW,
    PLACEMENTS,
    STEPS,
    HandSearch,
    load_made,
    truck_made,
)
from tests.loading.test_truck_axles import AXLES

METRIC = PaperForm(units="metric")


def planned(load):
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False)
    return plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch())


@pytest.fixture
def plan(load):
    return planned(load)


@pytest.fixture
def heavy(branch):
    """Axle 1 may weigh 1015 kg by its plate; the 40 kg aboard put 26.7 kg on it."""
    axles = [{**AXLES[0], "limit_kg": 1015}, *AXLES[1:]]
    return planned(load_made(branch, truck=truck_made(branch, axles=axles)))


@pytest.mark.parametrize("kind", sorted(PLAN_PAPERS))
def test_every_page_says_whose_it_is_and_how_many_there_are(plan, kind):
    pages = pages_of(PLAN_PAPERS[kind](plan, METRIC))
    for number, page in enumerate(pages, start=1):
        assert "LOAD-0001, plan 1, Truck 7" in page
        assert f"page {number} of {len(pages)}" in page


@pytest.mark.parametrize("kind", sorted(PLAN_PAPERS))
def test_every_page_says_that_it_is_a_planning_aid(plan, kind):
    for page in pages_of(PLAN_PAPERS[kind](plan, METRIC)):
        assert "local codes, plates, a scale and a qualified person" in " ".join(page.split())


def test_the_road_sheet_says_what_is_over_and_what_mends_it(heavy):
    said = words_of(PLAN_PAPERS["road-sheet"](heavy, METRIC))
    assert "This load must not drive off as it is." in said
    # As the road sheet's own test: the front axle carries 26.7 of the 40 kg.
    assert "Axle 1, at departure: 1026.7 kg, limit 1015.0 kg: 11.7 kg too much" in said
    assert "Leave 003 trunk <oak> for another truck; then all limits are kept" in said
    assert "1026.7 kg of 3000.0 kg (34 %)" in said


@pytest.mark.parametrize("kind", sorted(PLAN_PAPERS))
def test_the_same_plan_gives_the_same_bytes(plan, kind):
    assert PLAN_PAPERS[kind](plan, METRIC) == PLAN_PAPERS[kind](plan, METRIC)


# Sizes of the sheets: ISO 216 for A4, ANSI Y14.1 (8.5 by 11 inches) for letter.
@pytest.mark.parametrize(("sheet", "size_mm"), [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
@pytest.mark.parametrize("kind", sorted(PLAN_PAPERS))
def test_either_sheet_can_be_used(plan, kind, sheet, size_mm):
    assert sheet_of(PLAN_PAPERS[kind](plan, PaperForm(sheet=sheet))) == size_mm


def test_pull_sheet_has_the_warehouse_steps_in_order(plan):
    said = words_of(PLAN_PAPERS["pull-sheet"](plan, METRIC))
    places = [
        said.index(words)
        for words in (
            "Set aside X9 (another customer's) stands before V1",
            "Pull V1",
            "Clear the dock V1",
            "Fetch 003 trunk <oak>",
        )
    ]
    assert places == sorted(places)
    assert "lane A, 1 deep, level 2 lane B, 1 deep, level 1" in said


def test_pull_sheet_says_where_a_piece_goes_back(load):
    out_and_back = (Step("unpack", tag="001"), Step("return", tag="001"))
    steps = (*STEPS[:2], *out_and_back, *STEPS[2:])
    made = HandSearch(lambda request: LoadPlan(request.name, steps, PLACEMENTS))
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False)
    plan = plan_run_execute(run_id=run.id, worker="one", now=NOW, search=made)
    said = words_of(PLAN_PAPERS["pull-sheet"](plan, METRIC))
    assert "Put back 001 carton dock vault V1" in said


def test_pull_sheets_pictures_have_the_numbers_of_its_lines(load):
    steps = (*STEPS, Step("move", vault="X9", lane="A"))
    made = HandSearch(lambda request: LoadPlan(request.name, steps, PLACEMENTS))
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False)
    plan = plan_run_execute(run_id=run.id, worker="one", now=NOW, search=made)
    said = words_of(PLAN_PAPERS["pull-sheet"](plan, METRIC))
    assert "No. 1, step 1 of the plan: vault X9" in said
    assert "No. 5, step 12 of the plan: vault X9" in said


def test_pull_sheet_says_what_is_done_or_in_hand(load):
    progress = {
        "steps": [{"do": "move", "vault": "X9", "lane": "B"}],
        "placements": [],
        "fills": [],
    }
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False, progress=progress)
    plan = plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch())
    said = words_of(PLAN_PAPERS["pull-sheet"](plan, METRIC))
    assert said.count("(done or in hand)") == 1
    assert "stands before V1 (done or in hand)" in said


def test_pull_sheet_shows_the_dock_over_time(plan):
    said = words_of(PLAN_PAPERS["pull-sheet"](plan, METRIC))
    assert "Dock floor taken, step by step" in said
    assert "Vaults on the dock, at most 1 of 1 spots taken" in said


def test_tier_sheets_have_a_page_for_each_tier(plan):
    pages = pages_of(PLAN_PAPERS["tier-sheets"](plan, METRIC))
    assert len(pages) == 3
    first, second = (" ".join(page.split()) for page in pages[1:])
    assert "2 pieces, 20.0 kg; 50 cm deep, from 0 cm to 50 cm behind the nose." in first
    assert "Tier 1 of 2, seen from the doors" in first
    assert "001 carton standing, base deck 0 cm 0 cm 10.0 kg" in first
    assert "003 trunk <oak> standing, base deck 1 cm 0 cm 20.0 kg" in second


def test_load_summary_adds_up(plan):
    said = words_of(PLAN_PAPERS["load-summary"](plan, METRIC))
    assert "Pieces loaded 3" in said
    assert "Weight 40.0 kg of 2000.0 kg" in said
    # 2 x 0.5^3 + 0.98 x 0.5 x 0.5 = 0.495 cubic metres
    assert "Cube 0.5 m\u00b3" in said
    # The empty truck's ton on each; 40 kg between them, by hand: moments about the front support
    # 20 kg x 750 mm + 20 kg x 1250 mm over 3000 mm = 13.33 kg behind, 26.67 kg in front.
    assert "front axle at departure 1026.7 kg 3000.0 kg 34 %" in said
    assert "rear axle at departure 1013.3 kg 4000.0 kg 25 %" in said


def test_load_summary_speaks_pounds_and_cubic_feet(plan):
    said = words_of(PLAN_PAPERS["load-summary"](plan, PaperForm(units="imperial")))
    # 40 kg / 0.45359237 = 88.2 lb; 0.495 m3 / 0.0283168 = 17.5 cubic feet
    assert "Weight 88 lb of 4409 lb" in said
    assert "Cube 17 cu ft" in said


def test_unload_list_begins_with_what_went_in_last(plan):
    said = words_of(PLAN_PAPERS["unload-list"](plan, METRIC))
    rows = [said.index(f"{n} {tag}") for n, tag in ((1, "003"), (2, "002"), (3, "001"))]
    assert rows == sorted(rows)


def test_check_off_sheet_is_by_tag_number(plan):
    said = words_of(PLAN_PAPERS["check-off"](plan, METRIC))
    rows = [said.index(f"{tag} ") for tag in ("001", "002", "003")]
    assert rows == sorted(rows)
    assert "3 pieces, by tag number." in said


def test_pad_slip_leaves_room_for_the_count(plan):
    said = words_of(PLAN_PAPERS["pad-slip"](plan, METRIC))
    assert "Moving pads in all 0" in said
    assert "Given out" in said
    assert "Come back" in said
    assert "straps 1 load bars dollies appliance trucks piano boards covers" in said


def test_a_paper_speaks_the_language_that_is_active(plan):
    with translation.override("en"):
        english = words_of(PLAN_PAPERS["check-off"](plan, METRIC))
    assert "Check-off sheet" in english


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("S\u00e1nchez \u00d1u\u00f1o", "S\u00e1nchez \u00d1u\u00f1o"),
        ("\u0141\u00f3d\u017a", "L\u00f3d\u017a".replace("\u017a", "z")),
        ("\u6771", "?"),
        ("a\u0007b", "ab"),
    ],
)
def test_signs_that_the_fonts_lack_are_written_plainly(said, shown):
    assert printable(said) == shown


def test_the_road_sheet_says_what_to_look_out_for(plan):
    said = words_of(PLAN_PAPERS["road-sheet"](plan, METRIC))
    road = road_sheet(plan=plan)
    assert road.cautions
    assert "Look out for " + " ".join(cautions_said(road, "metric")) in said


def test_the_road_sheet_says_what_holds_each_tier_and_what_the_supports_carry_meanwhile(plan):
    said = words_of(PLAN_PAPERS["road-sheet"](plan, METRIC))
    road = road_sheet(plan=plan)
    assert "tier 1 loaded" in said
    for tier in road.forces:
        assert " ".join(forces_said(tier, "metric")) in said
    assert road.centre is not None
    for name, where, limit, _passes in centre_said(road.centre, "metric"):
        assert f"{name} {where} {limit}" in said
    assert "end of the load" in said


def test_the_tier_sheet_says_what_to_strap(plan):
    said = words_of(PLAN_PAPERS["tier-sheets"](plan, METRIC))
    limit = weight(tier_straps(plan=plan)[2].limit_g, "metric")
    told = (
        "Behind tier 2: one strap or load bar from wall to wall, 25 cm above the deck, "
        f"good for {limit} (end of the load)."
    )
    assert told in said
    assert "Behind tier 1" not in said


WARNED = "This load must not drive off as it is: see its road sheet."


def test_the_summary_of_a_load_that_may_not_drive_says_so(heavy):
    assert WARNED in words_of(PLAN_PAPERS["load-summary"](heavy, METRIC))


def test_the_summary_of_a_load_that_may_drive_does_not_warn(plan):
    said = words_of(PLAN_PAPERS["load-summary"](plan, METRIC))
    assert WARNED not in said
    assert "at departure" in said


def test_every_caution_has_its_words():
    assert set(WORDS) == set(Caution)
    assert set(HELD) == set(By)


def test_no_heading_stands_at_the_foot_of_a_page():
    row = table((Column("Tag", 1),), [["x"]], METRIC)
    # Lines of 12.5 points that leave room for the heading, and none for what it is about.
    lines = [paragraph(f"line {n}") for n in range(int((METRIC.height - 40) // 12.5) - 1)]
    made = pdf(title="T", subject="s", story=[*lines, heading("Signatures"), row], form=METRIC)
    first, second = pages_of(made)
    assert "Signatures" not in first
    assert "Signatures" in second


@pytest.mark.parametrize(
    ("name", "said"), [("fill 12", "F12"), ("012", "012"), ("filler", "filler")]
)
def test_a_fill_is_called_as_in_the_picture(name, said):
    assert words.key(name) == said
