"""What may not ride is marked on the pull sheet, at the vault that it is in, with what to do."""

import pytest

from loading.papers import PLAN_PAPERS, PaperForm
from loading.selectors import pull_sheet
from loading.services import plan_run_create, plan_run_execute
from tests.loading.papers.reading import words_of
from tests.loading.scenario import NOW, HandSearch, load_made


def planned(load, tag, name):
    load.release.shipment.items.filter(tags__number=tag).update(name=name)
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False)
    return plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch())


def test_page_and_paper_say_what_to_do_at_the_vault(client, helper, load):
    plan = planned(load, "001", "gasoline carton")
    client.force_login(helper)
    for told in (
        client.get(f"/loading/plans/{plan.pk}/").content.decode(),
        words_of(PLAN_PAPERS["pull-sheet"](plan, PaperForm(units="metric"))),
    ):
        assert told.count("001, look: fuel.") == 1
        assert "Set it aside outdoors" in told
    (looks,) = [
        line["looks"]
        for line in client.get(f"/api/plans/{plan.pk}/pull-sheet/").json()["lines"]
        if line["looks"]
    ]
    assert [(look["tag"], look["group"], look["verdict"]) for look in looks] == [
        ("001", "fuel", "never")
    ]


@pytest.mark.parametrize(("distance_km", "marked"), [(240, 0), (241, 1)])
def test_plants_are_marked_on_long_trips_only(branch, distance_km, marked):
    plan = planned(load_made(branch, distance_km=distance_km), "001", "house plant")
    assert sum(len(line.looks) for line in pull_sheet(plan=plan).lines) == marked


def test_a_loose_piece_is_marked_where_it_is_fetched(load):
    plan = planned(load, "003", "propane tank")
    found = [line for line in pull_sheet(plan=plan).lines if line.looks]
    assert [(line.do, line.tag) for line in found] == [("fetch", "003")]
