"""A long paper by the whole way: row, message, a real Celery worker, the PDF in its row."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import psycopg
import pytest
from django.db import connection

import loading.services.papers as papers
from inventory.models import Paper
from loading.papers import PaperForm
from loading.services import plan_paper_demand, plan_run_create, plan_run_execute
from tests.loading.papers.reading import words_of
from tests.loading.scenario import NOW, HandSearch, load_made

if TYPE_CHECKING:
    from tests.conftest import StartWorker

NOTIFY = """
CREATE FUNCTION tests_made() RETURNS trigger AS $$
BEGIN PERFORM pg_notify('made', NEW.id::text); RETURN NULL; END $$ LANGUAGE plpgsql;
CREATE TRIGGER tests_made AFTER UPDATE ON inventory_paper
    FOR EACH ROW WHEN (NEW.made_at IS NOT NULL) EXECUTE FUNCTION tests_made();
"""
SILENT = "DROP TRIGGER tests_made ON inventory_paper; DROP FUNCTION tests_made();"


@pytest.fixture
def await_made(transactional_db: None) -> Iterator[Callable[[], list[str]]]:
    """Waits until a paper is made and gives its id, by the database's own notifications."""
    settings = connection.settings_dict
    names = {"HOST": "host", "PORT": "port", "USER": "user", "PASSWORD": "password"}
    address = {ours: settings[theirs] for theirs, ours in names.items() if settings[theirs]}
    with connection.cursor() as cursor:
        cursor.execute(NOTIFY)
    with psycopg.connect(autocommit=True, dbname=settings["NAME"], **address) as listening:
        listening.execute("LISTEN made")
        yield lambda: [told.payload for told in listening.notifies(timeout=300, stop_after=1)]
    with connection.cursor() as cursor:
        cursor.execute(SILENT)


@pytest.mark.django_db(transaction=True)
def test_a_real_worker_makes_a_long_paper(
    branch,
    await_made: Callable[[], list[str]],
    start_worker: StartWorker,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(papers, "LONG_PIECES", 2)
    run = plan_run_create(load=load_made(branch), seed=1, budget_s=5, send=False)
    plan = plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch())
    start_worker("papers")
    paper = plan_paper_demand(
        plan=plan, kind="tier-sheets", form=PaperForm(), language="en", now=NOW
    )
    assert paper.content is None
    assert await_made() == [str(paper.pk)]
    made = Paper.objects.get(pk=paper.pk)
    assert "Tier 2 of 2" in words_of(bytes(made.content))
