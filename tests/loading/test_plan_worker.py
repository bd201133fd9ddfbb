"""The whole way of a run: row, message, a real Celery worker, the planner's own search, a plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import psycopg
import pytest
from django.core.management import call_command
from django.db import connection

from loading.models import LoadPlan, PlanRun
from loading.planner.checker import check_plan
from loading.selectors import plan_of
from loading.services import plan_run_create
from tests.loading.scenario import load_made

if TYPE_CHECKING:
    from tests.conftest import StartWorker

NOTIFY = """
CREATE FUNCTION tests_ended() RETURNS trigger AS $$
BEGIN PERFORM pg_notify('ended', NEW.id::text); RETURN NULL; END $$ LANGUAGE plpgsql;
CREATE TRIGGER tests_ended AFTER UPDATE ON loading_planrun
    FOR EACH ROW WHEN (NEW.finished_at IS NOT NULL) EXECUTE FUNCTION tests_ended();
"""
SILENT = "DROP TRIGGER tests_ended ON loading_planrun; DROP FUNCTION tests_ended();"


@pytest.fixture
def await_end(transactional_db: None) -> Iterator[Callable[[], list[str]]]:
    """Waits until a run ends and gives its id, by the database's own notifications."""
    settings = connection.settings_dict
    address = {
        "host": settings["HOST"],
        "port": settings["PORT"],
        "user": settings["USER"],
        "password": settings["PASSWORD"],
        "dbname": settings["NAME"],
    }
    with connection.cursor() as cursor:
        cursor.execute(NOTIFY)
    given = {key: value for key, value in address.items() if value}
    with psycopg.connect(autocommit=True, **given) as listening:
        listening.execute("LISTEN ended")
        yield lambda: [t.payload for t in listening.notifies(timeout=300, stop_after=1)]
    with connection.cursor() as cursor:
        cursor.execute(SILENT)


@pytest.mark.django_db(transaction=True)
def test_a_real_worker_plans_a_run_that_was_sent(
    branch, await_end: Callable[[], list[str]], start_worker: StartWorker
) -> None:
    start_worker("plan")
    run = plan_run_create(load=load_made(branch), seed=1, budget_s=0.5)
    assert await_end() == [str(run.id)]
    run = PlanRun.objects.get(id=run.id)
    assert (run.status, run.problem, run.attempt) == ("done", None, 1)
    assert run.plan.version == 1
    assert check_plan(*plan_of(plan=run.plan)).broken == ()
    assert run.plan.figures["loaded"] == 3


def test_the_command_plans_shows_progress_and_stores(load, capsys):
    call_command("load_plan", "LOAD-0001", "--seconds", "0.5")
    told = capsys.readouterr()
    assert "LOAD-0001 version 1: 3 pieces loaded, 0 left off" in told.out
    assert "of 3 pieces" in told.err
    assert LoadPlan.objects.get().load == load
