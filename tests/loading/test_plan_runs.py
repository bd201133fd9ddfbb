"""Plan runs on the real database: what may happen twice, late, in the middle or not at all."""

import threading
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import IntegrityError, close_old_connections, connection, connections, transaction

from loading.errors import DocumentInvalid, RunFinished, RunIdReused
from loading.models import Load, LoadPlan, PlanRun
from loading.planner.checker import check_plan
from loading.planner.plan import parse_plan
from loading.planner.request import parse_request
from loading.selectors import load_latest_plan, load_plan_demanded, plan_of
from loading.services import (
    plan_run_accept_early,
    plan_run_cancel,
    plan_run_create,
    plan_run_execute,
    plan_runs_resend,
)
from loading.services.plan_execution import ATTEMPTS_MAX, LEASE
from tests.loading.scenario import NOW, Clock, HandSearch, plan_by_hand, plan_with_overlap

LATER = NOW + LEASE + timedelta(seconds=1)


def run_made(load: Load, **changed: object) -> PlanRun:
    return plan_run_create(load=load, seed=1, budget_s=5, send=False, **changed)


def executed(run: PlanRun, search: HandSearch, *, worker: str = "one", now=NOW):
    return plan_run_execute(run_id=run.id, worker=worker, now=now, search=search, clock=Clock())


# ── Asking ──────────────────────────────────────────────────────────────────────────────────────
def test_plan_of_the_scenario_keeps_every_rule(load):
    request = parse_request(run_made(load).request_document)
    assert check_plan(request, plan_by_hand(request)).broken == ()


def test_run_freezes_the_request_as_storage_stands(load):
    run = run_made(load)
    load.release.shipment.items.update(name="renamed")
    assert run.request_document["items"][0]["name"] == "carton"
    run.refresh_from_db()
    assert run.request_document["items"][0]["name"] == "carton"


def test_same_id_twice_is_one_run(load):
    run_id = uuid4()
    first = run_made(load, run_id=run_id)
    assert run_made(load, run_id=run_id) == first
    assert PlanRun.objects.count() == 1


def test_same_id_with_another_wish_is_refused(load):
    run = run_made(load)
    with pytest.raises(RunIdReused) as caught:
        plan_run_create(load=load, seed=2, budget_s=5, run_id=run.id)
    assert caught.value.run_id == run.id


def test_repeat_is_known_even_after_storage_changed(load):
    run_id = uuid4()
    first = run_made(load, run_id=run_id)
    load.release.shipment.items.update(weight_g=1)
    assert run_made(load, run_id=run_id) == first


def test_unknown_tag_in_progress_is_told_by_its_key(load):
    progress = {"steps": [{"do": "fetch", "tag": "999"}], "placements": [], "fills": []}
    with pytest.raises(DocumentInvalid) as caught:
        run_made(load, progress=progress)
    assert [fault.pointer for fault in caught.value.faults] == ["/progress/steps/0/tag"]
    assert not PlanRun.objects.exists()


def test_message_goes_only_after_commit(load, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks() as callbacks:
        run = plan_run_create(load=load, seed=1, budget_s=5)
        assert run.sent_at is not None
    assert len(callbacks) == 1


def test_caller_that_executes_itself_sends_nothing(load, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks() as callbacks:
        assert run_made(load).sent_at is None
    assert callbacks == []


# ── Executing ───────────────────────────────────────────────────────────────────────────────────
def test_plan_is_checked_and_stored_as_version_one(load):
    run = run_made(load)
    plan = executed(run, HandSearch())
    run.refresh_from_db()
    assert (plan.version, plan.load, run.status, run.share) == (1, load, "done", 1)
    assert run.plan == plan
    request, planned = plan_of(plan=plan)
    assert planned == plan_by_hand(request)
    # 1 000 mm of the truck are used; by hand .49 m3 + .25 m3 over 1 m2.
    assert plan.figures["length_mm"] == 1000
    assert plan.figures["space_use"] == pytest.approx(0.495)
    assert plan.figures == check_plan(request, planned).figures


def test_second_delivery_plans_nothing_and_gives_the_stored_plan(load):
    run, search = run_made(load), HandSearch()
    first = executed(run, search)
    assert executed(run, search, worker="two", now=LATER) == first
    assert search.calls == 1
    assert LoadPlan.objects.count() == 1


def test_run_that_is_held_is_left_alone(load):
    run, second = run_made(load), HandSearch()
    first = HandSearch(meanwhile=lambda: executed(run, second, worker="two"))
    assert executed(run, first).version == 1
    assert second.calls == 0


def test_run_of_a_dead_worker_is_claimed_once_its_lease_ran_out(load):
    run = run_made(load)

    class KilledError(BaseException):
        """Stands for a process that dies: nothing of the service's own handling runs."""

    def die() -> None:
        raise KilledError

    with pytest.raises(KilledError):
        executed(run, HandSearch(meanwhile=die))
    run.refresh_from_db()
    assert (run.status, run.claimed_by) == ("running", "one")
    within = HandSearch()
    assert executed(run, within, worker="two", now=NOW + LEASE / 2) is None
    assert within.calls == 0
    assert executed(run, HandSearch(), worker="two", now=LATER).version == 1
    run.refresh_from_db()
    assert (run.status, run.claimed_by, run.attempt) == ("done", "two", 2)


def test_worker_thought_dead_cannot_disturb_its_successor(load):
    run = run_made(load)
    slow = HandSearch(meanwhile=lambda: executed(run, HandSearch(), worker="two", now=LATER))
    assert executed(run, slow) is None
    assert slow.called_off
    run.refresh_from_db()
    assert (run.status, run.claimed_by) == ("done", "two")
    assert LoadPlan.objects.count() == 1


def test_run_that_kills_every_worker_fails(load):
    run = run_made(load)
    PlanRun.objects.filter(id=run.id).update(
        status="running", attempt=ATTEMPTS_MAX, lease_until=NOW
    )
    search = HandSearch()
    assert executed(run, search, now=LATER) is None
    run.refresh_from_db()
    assert (run.status, run.problem["kind"], search.calls) == ("failed", "workers_lost", 0)


def test_progress_is_written_and_the_lease_renewed(load):
    run, seen = run_made(load), []

    def look() -> None:
        seen.append(PlanRun.objects.get(id=run.id))

    class Looking(HandSearch):
        def __call__(self, request, *, on_progress, **given):
            plan = super().__call__(request, on_progress=on_progress, **given)
            look()
            return plan

    executed(run, Looking(meanwhile=look))
    before, after = seen
    assert (before.share, before.pieces_placed) == (0, 0)
    assert (after.share, after.space_use, after.pieces_placed) == (0.5, 0.4, 2)
    assert after.lease_until > before.lease_until


def test_plan_that_breaks_a_rule_is_never_stored(load):
    run = run_made(load)
    assert executed(run, HandSearch(plan_with_overlap)) is None
    run.refresh_from_db()
    assert run.status == "failed"
    assert run.problem["kind"] == "rules_broken"
    assert "R3" in {broken["rule"] for broken in run.problem["broken"]}
    assert not LoadPlan.objects.exists()


def test_search_that_breaks_down_fails_the_run_and_is_not_hushed_up(load):
    run = run_made(load)

    def break_down(request):
        raise ValueError("no idea")

    with pytest.raises(ValueError, match="no idea"):
        executed(run, HandSearch(break_down))
    run.refresh_from_db()
    assert (run.status, run.problem["detail"]) == ("failed", "ValueError: no idea")


def test_next_plan_is_made_with_the_former_at_hand(load):
    first = executed(run_made(load), HandSearch())
    search = HandSearch()
    second = executed(run_made(load), search)
    assert (first.version, second.version) == (1, 2)
    assert search.formers == [parse_plan(first.document)]
    assert load_latest_plan(load=load) == second
    assert load_plan_demanded(load=load, version=1) == first


# ── Calling off ─────────────────────────────────────────────────────────────────────────────────
def test_queued_run_that_is_cancelled_is_never_planned(load):
    run, search = run_made(load), HandSearch()
    plan_run_cancel(run_id=run.id, now=NOW)
    assert executed(run, search) is None
    assert search.calls == 0


def test_running_search_learns_that_it_is_cancelled_and_stores_nothing(load):
    run = run_made(load)
    search = HandSearch(meanwhile=lambda: plan_run_cancel(run_id=run.id, now=NOW))
    assert executed(run, search) is None
    assert search.called_off
    run.refresh_from_db()
    assert run.status == "cancelled"
    assert not LoadPlan.objects.exists()


def test_cancelling_twice_is_one_cancelling(load):
    run = run_made(load)
    plan_run_cancel(run_id=run.id, now=NOW)
    assert plan_run_cancel(run_id=run.id, now=LATER).finished_at == NOW


def test_running_search_ends_with_its_best_plan_when_that_is_enough(load):
    run = run_made(load)
    search = HandSearch(meanwhile=lambda: plan_run_accept_early(run_id=run.id, now=NOW))
    plan = executed(run, search)
    assert search.called_off
    run.refresh_from_db()
    assert (run.status, run.plan, run.enough_at) == ("done", plan, NOW)
    assert plan_run_accept_early(run_id=run.id, now=LATER).enough_at == NOW


def test_queued_run_of_which_the_first_plan_is_enough(load):
    run, search = run_made(load), HandSearch()
    plan_run_accept_early(run_id=run.id, now=NOW)
    assert executed(run, search) is not None
    assert search.called_off


def test_run_that_has_ended_cannot_be_accepted_early(load):
    run = run_made(load)
    executed(run, HandSearch())
    with pytest.raises(RunFinished):
        plan_run_accept_early(run_id=run.id, now=LATER)


def test_finished_run_cannot_be_cancelled(load):
    run = run_made(load)
    executed(run, HandSearch())
    with pytest.raises(RunFinished) as caught:
        plan_run_cancel(run_id=run.id, now=LATER)
    assert caught.value.ended == "done"


# ── Lost messages ───────────────────────────────────────────────────────────────────────────────
def test_lost_runs_are_sent_again_and_others_are_not(load):
    def row(**columns: object) -> PlanRun:
        run = run_made(load)
        PlanRun.objects.filter(id=run.id).update(**columns)
        return run

    long_ago, just_now = NOW - timedelta(minutes=5), NOW - timedelta(seconds=5)
    queued = row(sent_at=long_ago)
    dead = row(sent_at=long_ago, status="running", lease_until=long_ago)
    row(sent_at=just_now)
    row(sent_at=long_ago, status="running", lease_until=NOW + LEASE)
    row(sent_at=long_ago, status="cancelled", finished_at=long_ago)
    row()
    assert set(plan_runs_resend(now=NOW)) == {queued.id, dead.id}
    assert plan_runs_resend(now=NOW) == []


# ── What the database holds on to ───────────────────────────────────────────────────────────────
def test_stored_plan_cannot_be_edited(load):
    plan = executed(run_made(load), HandSearch())
    with pytest.raises(IntegrityError, match="never edited"), transaction.atomic():
        LoadPlan.objects.filter(pk=plan.pk).update(version=9)


def test_stored_plan_cannot_be_deleted(load):
    plan = executed(run_made(load), HandSearch())
    with (
        pytest.raises(IntegrityError, match="never edited"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute("DELETE FROM loading_loadplan WHERE id = %s", [plan.pk])


@pytest.mark.parametrize(
    "columns",
    [
        {"status": "running"},
        {"status": "done"},
        {"status": "failed", "finished_at": NOW},
        {"status": "asleep"},
        {"share": 1.1},
        {"budget_s": 0},
        {"finished_at": NOW},
    ],
)
def test_database_refuses_a_run_that_contradicts_itself(load, columns):
    run = run_made(load)
    with pytest.raises(IntegrityError), transaction.atomic():
        PlanRun.objects.filter(id=run.id).update(**columns)


@pytest.mark.django_db(transaction=True)
def test_versions_count_without_gap_when_two_workers_store_at_once(load):
    runs = [run_made(load) for _ in range(2)]
    both_planned = threading.Barrier(2, timeout=30)
    failures: list[BaseException] = []

    def work(run: PlanRun) -> None:
        close_old_connections()
        try:
            executed(run, HandSearch(meanwhile=both_planned.wait))
        except BaseException as error:
            failures.append(error)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=work, args=(run,)) for run in runs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert sorted(load.plans.values_list("version", flat=True)) == [1, 2]


@pytest.mark.django_db(transaction=True)
def test_one_of_two_workers_gets_the_run(load):
    run, begin = run_made(load), threading.Barrier(2, timeout=30)
    searches = [HandSearch(), HandSearch()]

    def work(search: HandSearch) -> None:
        begin.wait()
        try:
            executed(run, search)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=work, args=(search,)) for search in searches]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sum(search.calls for search in searches) == 1
    assert load.plans.count() == 1
