"""Carrying out a plan run: claim it, plan, check, store. Safe to start twice and to kill."""

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from typing import Any, Protocol
from uuid import UUID

from django.db import transaction
from django.db.models import F, Max, Q

from loading.models import Load, LoadPlan, PlanRun
from loading.planner.checker import Report, check_plan
from loading.planner.ordering import SearchProgress, plan_with_orders
from loading.planner.plan import LoadPlan as PlannedLoad
from loading.planner.plan import parse_plan, plan_document
from loading.planner.request import LoadRequest, parse_request
from loading.planner.stopping import Seconds, Stop

log = logging.getLogger(__name__)

LEASE = timedelta(seconds=30)
ATTEMPTS_MAX = 3
WRITE_EVERY_S = 0.5


OnProgress = Callable[[SearchProgress], None]


class Search(Protocol):
    """What a run needs of a planner: `plan_with_orders` around its search."""

    def __call__(
        self,
        request: LoadRequest,
        *,
        seed: int,
        stop: Stop,
        workers: int,
        former: PlannedLoad | None,
        improve: bool,
        on_progress: OnProgress,
        cancelled: Callable[[], bool],
    ) -> PlannedLoad: ...


@dataclass(frozen=True, slots=True)
class Claim:
    """A run that this worker holds; it may write to the run only while `attempt` is unchanged."""

    run: PlanRun
    attempt: int
    clock: Callable[[], float]
    claimed_at: datetime
    claimed_s: float

    def now(self) -> datetime:
        return self.claimed_at + timedelta(seconds=self.clock() - self.claimed_s)

    def write(self, **columns: Any) -> bool:
        """Write to the run if it is still ours, and say whether it was."""
        held = PlanRun.objects.filter(
            id=self.run.id, status=PlanRun.Status.RUNNING, attempt=self.attempt
        )
        return bool(held.update(**columns))


def plan_run_execute(
    *,
    run_id: UUID,
    worker: str,
    now: datetime,
    former: LoadPlan | None = None,
    on_progress: OnProgress | None = None,
    search: Search | None = None,
    workers: int = 1,
    clock: Callable[[], float] = time.monotonic,
) -> LoadPlan | None:
    """Plan a run and store the plan as the load's next version.

    `former` is the plan that people work by; without it the load's latest is kept to.

    Returns the plan, also when an earlier delivery stored it; None when another worker holds the
    run, or it was cancelled, or it failed (the run's `problem` says why). A plan that breaks a
    rule is never stored. `search` defaults to the planner's own; `worker` names the process.
    """
    # Kernels may have to be loaded: that is done before the lease begins to run.
    search = search or _planner_search()
    claim = _run_claim(run_id=run_id, worker=worker, now=now, clock=clock)
    if claim is None:
        return LoadPlan.objects.filter(run_id=run_id).first()
    try:
        plan, report = _planned(claim, former, search, workers, on_progress)
    except Exception as error:
        _run_fail(claim, {"kind": "search_error", "detail": f"{type(error).__name__}: {error}"})
        raise
    if report.broken:
        _run_fail(claim, _broken_problem(report))
        return None
    return _plan_store(claim, plan, report)


def _planned(
    claim: Claim,
    former: LoadPlan | None,
    search: Search,
    workers: int,
    on_progress: OnProgress | None,
) -> tuple[PlannedLoad, Report]:
    """The search's plan and what the checker says of it."""
    request = parse_request(claim.run.request_document)
    reporter = Reporter(claim, on_progress)
    plan = search(
        request,
        seed=claim.run.seed,
        stop=Seconds(claim.run.budget_s, claim.clock),
        workers=workers,
        former=parse_plan(former.document) if former else _former_plan(claim.run),
        improve=claim.run.improves,
        on_progress=reporter.report,
        cancelled=reporter.is_called_off,
    )
    return plan, check_plan(request, plan)


class Reporter:
    """Carries progress into the run's row, renews the lease, and learns that a run is called off,
    or that its best plan is wanted now.

    It does so at most twice a second. The search may call from threads of its
    own; those only leave their news, because each thread would open a connection of its own.
    """

    def __init__(self, claim: Claim, on_progress: OnProgress | None) -> None:
        self._claim = claim
        self._on_progress = on_progress
        self._thread = threading.get_ident()
        self._latest: SearchProgress | None = None
        self._written_s = claim.claimed_s
        self._goes_on = not claim.run.enough_at

    def report(self, progress: SearchProgress) -> None:
        self._latest = progress
        if self._on_progress is not None:
            self._on_progress(progress)
        self._write_when_due()

    def is_called_off(self) -> bool:
        self._write_when_due()
        return not self._goes_on

    def _write_when_due(self) -> None:
        now_s = self._claim.clock()
        due = now_s - self._written_s >= WRITE_EVERY_S
        if not due or not self._goes_on or threading.get_ident() != self._thread:
            return
        self._written_s = now_s
        columns: dict[str, Any] = {"lease_until": self._claim.now() + LEASE}
        if self._latest is not None:
            columns["share"] = min(1.0, max(0.0, self._latest.share))
            columns["space_use"] = self._latest.space_use
            columns["pieces_placed"] = self._latest.loaded
        self._goes_on = self._claim.write(**columns) and not self._is_enough()

    def _is_enough(self) -> bool:
        return PlanRun.objects.filter(id=self._claim.run.id, enough_at__isnull=False).exists()


def _planner_search() -> Search:
    # Imported here: the kernels are large, and only a process that plans should carry them.
    from loading.planner.search import plan_load, warm

    warm()
    return partial(plan_with_orders, plan_load)


def _run_claim(
    *, run_id: UUID, worker: str, now: datetime, clock: Callable[[], float]
) -> Claim | None:
    free = Q(status=PlanRun.Status.QUEUED) | Q(status=PlanRun.Status.RUNNING, lease_until__lt=now)
    with transaction.atomic():
        claimed = PlanRun.objects.filter(free, id=run_id).update(
            status=PlanRun.Status.RUNNING,
            claimed_by=worker,
            attempt=F("attempt") + 1,
            lease_until=now + LEASE,
        )
        if not claimed:
            return None
        run = PlanRun.objects.select_related("load").get(id=run_id)
    claim = Claim(run, run.attempt, clock, claimed_at=now, claimed_s=clock())
    if run.attempt > ATTEMPTS_MAX:
        _run_fail(claim, {"kind": "workers_lost", "attempts": ATTEMPTS_MAX})
        return None
    return claim


def _former_plan(run: PlanRun) -> PlannedLoad | None:
    """The load's latest plan, which a replan keeps to where it still holds.

    Where nothing has been done yet, one that was made for another order of the pulls is none to
    keep to: it would hold on to its tiers, or to its order where that is to be free again.
    """
    latest = LoadPlan.objects.filter(load_id=run.load_id).order_by("-version").first()
    if latest is None:
        return None
    asked, former = run.request_document, latest.request_document
    if asked["progress"] is None and asked["pull_order"] != former["pull_order"]:
        return None
    return parse_plan(latest.document)


def _broken_problem(report: Report) -> dict[str, Any]:
    broken = [
        {"rule": found.rule, "subject": found.subject, "message": found.message}
        for found in report.broken
    ]
    return {"kind": "rules_broken", "broken": broken}


def _run_fail(claim: Claim, problem: dict[str, Any]) -> None:
    written = claim.write(
        status=PlanRun.Status.FAILED,
        problem=problem,
        lease_until=None,
        finished_at=claim.now(),
    )
    if written:
        log.error("plan run failed", extra={"run_id": str(claim.run.id), "problem": problem})


def _plan_store(claim: Claim, plan: PlannedLoad, report: Report) -> LoadPlan | None:
    """Number and store the plan, unless the run was called off or claimed by another meanwhile."""
    run = claim.run
    with transaction.atomic():
        # The load's row lock makes versions count 1, 2, 3 without a gap.
        Load.objects.select_for_update(no_key=True).get(id=run.load_id)
        now = claim.now()
        written = claim.write(
            status=PlanRun.Status.DONE,
            lease_until=None,
            finished_at=now,
            share=1,
            space_use=report.figures["space_use"],
            pieces_placed=len(plan.placements),
        )
        if not written:
            return None
        former = LoadPlan.objects.filter(load_id=run.load_id).aggregate(last=Max("version"))
        return LoadPlan.objects.create(
            load_id=run.load_id,
            version=(former["last"] or 0) + 1,
            run=run,
            request_document=run.request_document,
            document=plan_document(plan),
            figures=report.figures,
            checked_at=now,
        )
