"""Papers as rows: made once, by a worker when long, found again when a message was lost."""

from datetime import timedelta

import pytest

import loading.services.papers as papers
from inventory.models import Paper
from loading.errors import NoSuchPaper
from loading.papers import PLAN_PAPERS, PaperForm
from loading.services import (
    paper_make,
    papers_resend,
    plan_paper_demand,
    plan_run_create,
    plan_run_execute,
)
from tests.loading.papers.reading import sheet_of, words_of
from tests.loading.scenario import NOW, HandSearch

FORM = PaperForm()


@pytest.fixture
def plan(load):
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False)
    return plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch())


@pytest.fixture
def all_long(monkeypatch):
    """Three pieces count as many."""
    monkeypatch.setattr(papers, "LONG_PIECES", 2)


def demand(plan, kind="tier-sheets", form=FORM, now=NOW):
    return plan_paper_demand(plan=plan, kind=kind, form=form, language="en", now=now)


def test_a_short_paper_is_there_at_once_and_made_once(plan):
    paper = demand(plan)
    again = demand(plan, now=NOW + timedelta(hours=1))
    assert (again.pk, again.made_at, Paper.objects.count()) == (paper.pk, NOW, 1)
    assert bytes(paper.content) == PLAN_PAPERS["tier-sheets"](plan, FORM)


def test_every_form_is_a_paper_of_its_own(plan):
    forms = [
        PaperForm(sheet, units) for sheet in ("letter", "a4") for units in ("metric", "imperial")
    ]
    assert len({demand(plan, form=form).pk for form in forms}) == 4


def test_a_long_paper_waits_for_a_worker_who_makes_it_once(plan, all_long):
    paper = demand(plan)
    assert (paper.status, paper.content) == ("queued", None)
    paper_make(paper_id=paper.pk, now=NOW)
    paper_make(paper_id=paper.pk, now=NOW + timedelta(hours=1))
    made = demand(plan)
    assert made.made_at == NOW
    assert "Tier 1 of 2" in words_of(bytes(made.content))


def test_a_paper_without_pictures_is_never_long(plan, all_long):
    assert demand(plan, kind="check-off").content is not None


def test_a_lost_message_is_sent_again_after_a_minute(plan, all_long, monkeypatch):
    paper = demand(plan)
    sent = []
    monkeypatch.setattr(
        papers.current_app, "send_task", lambda name, **told: sent.append((name, told))
    )
    assert papers_resend(now=NOW + timedelta(seconds=59)) == []
    assert papers_resend(now=NOW + timedelta(seconds=61)) == [paper.pk]
    assert papers_resend(now=NOW + timedelta(seconds=62)) == []
    message = {"kwargs": {"paper_id": str(paper.pk)}, "queue": "papers"}
    assert sent == [("loading.background.papers_make", message)]


def test_a_kind_that_is_none_is_refused(plan):
    with pytest.raises(NoSuchPaper, match="napkin"):
        demand(plan, kind="napkin")


# ── The pages ───────────────────────────────────────────────────────────────────────────────────
def page(client, plan, kind="load-summary", query=""):
    return client.get(f"/loading/plans/{plan.pk}/papers/{kind}.pdf{query}")


def test_the_page_gives_the_branchs_own_sheet(client, dispatcher, plan, branch):
    client.force_login(dispatcher)
    branch.paper = "a4"
    branch.save()
    assert sheet_of(page(client, plan).content) == (210.0, 297.0)
    assert sheet_of(page(client, plan, query="?sheet=letter").content) == (215.9, 279.4)


def test_a_long_paper_is_waited_for_on_a_page(client, dispatcher, plan, all_long):
    client.force_login(dispatcher)
    answer = page(client, plan, "tier-sheets")
    assert (answer.status_code, answer["Refresh"]) == (202, "1")


def test_all_papers_are_named(client, helper, plan):
    client.force_login(helper)
    shown = client.get(f"/loading/plans/{plan.pk}/papers/").content.decode()
    for kind in PLAN_PAPERS:
        assert f"/papers/{kind}.pdf?sheet=a4" in shown


def test_nobody_and_strangers_find_no_papers(client, stranger, plan):
    assert page(client, plan).status_code == 302
    client.force_login(stranger)
    assert page(client, plan).status_code == 404
    assert client.get(f"/loading/plans/{plan.pk}/papers/").status_code == 404


def test_an_unknown_paper_is_not_found(client, helper, plan):
    client.force_login(helper)
    assert page(client, plan, "napkin").status_code == 404
