"""Server time and queries of the floor's pages: `python -m tests.benchmarks.pages [--targets]`.

The demo's day on a PostgreSQL and a Valkey of its own: planned for a few seconds, accepted, work
given out. Each page is asked for as a browser would ask, in one process without a network between.
Times are medians, of the wall clock and of this process's processor time; a busy machine lengthens
the first. With `--targets` the exit status is 1 if a page takes more processor time than it may.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from config.embedded import servers_started
from tests.benchmarks._results import replace_part

if TYPE_CHECKING:
    from inventory.models import User
    from jobs.models import Job

TITLE = "Pages"
ASKED = 15
PLANNED_S = 4.0
TARGET_MS = 50
PAGES = ("loader", "warehouse", "job", "tasks", "pulls", "tiers", "solid", "phones")


@dataclass(frozen=True, slots=True)
class Measured:
    """One page: how many queries, and milliseconds as medians of ASKED answers."""

    page: str
    size_kb: int
    queries: int
    wall_ms: float
    processor_ms: float


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--targets", action="store_true")
    parser.add_argument("--profile", metavar="PAGE", help="print what one page spends its time on")
    asked = parser.parse_args(arguments)
    with servers_started(f"bench{os.getpid()}", leftovers="bench[0-9]*") as servers:
        os.environ.update(servers.environment())
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
        measured = _measured(asked.profile)
    sys.stdout.write(_table(measured) + "\n")
    if not asked.profile:
        replace_part(TITLE, _table(measured))
    missed = any(page.processor_ms > TARGET_MS for page in measured)
    return 1 if asked.targets and missed else 0


def _measured(profiled: str | None) -> list[Measured]:
    import django

    django.setup()
    from django.test.utils import setup_databases, setup_test_environment, teardown_databases

    setup_test_environment()
    old = setup_databases(verbosity=0, interactive=False)
    try:
        return list(_measure(profiled))
    finally:
        teardown_databases(old, verbosity=0)


def _measure(profiled: str | None) -> Iterator[Measured]:
    from jobs.models import CrewMember

    job = _job_at_work()
    dana = _dispatcher(job)
    for page in PAGES:
        if profiled in (None, page):
            address = f"/jobs/{job.id}/" if page == "job" else f"/jobs/{job.id}/{page}/"
            yield _page(dana, page, address, profile=bool(profiled))
    for page, address in _office_pages(job).items():
        if profiled in (None, page):
            yield _page(dana, page, address, profile=bool(profiled))
    helper = CrewMember.objects.filter(job=job, assignments__ended_at=None, part="helper").first()
    if helper is not None and profiled in (None, "my-task"):
        yield _page(helper.user, "my-task", "/my-task/", profile=bool(profiled))


def _office_pages(job: Job) -> dict[str, str]:
    """The dispatcher's and the office's pages about that day, load and shipment."""
    branch, shipment = job.branch.code, job.load.release.shipment
    return {
        "day": f"/days/{job.day}/",
        "day over time": f"/days/{job.day}/times/",
        "forklift": f"/days/{job.day}/forklift/",
        "crew": f"/jobs/{job.id}/hands/",
        "release record": f"/jobs/{job.id}/release-record/",
        "closing": f"/jobs/{job.id}/closing/",
        "plan": f"/loading/plans/{job.plan_id}/",
        "road": f"/loading/plans/{job.plan_id}/road/",
        "office": f"/inventory/{branch}/",
        "shipment": f"/inventory/{branch}/shipments/{shipment.pk}/",
        "vaults": f"/inventory/{branch}/vaults/",
        "search": f"/inventory/{branch}/search/?q=sofa",
    }


def _job_at_work() -> Job:
    from django.utils import timezone

    from jobs.services import job_accept_plan, job_plan, tasks_assign
    from loading.services import plan_run_execute
    from seed_fixtures.scenario import scenario_load

    now = timezone.now()
    job = max(scenario_load(now=now), key=lambda one: one.load.release.shipment.items.count())
    run = job_plan(job=job, seed=1, budget_s=PLANNED_S, send=False)
    plan = plan_run_execute(run_id=run.id, worker="bench", now=now)
    if plan is None:
        raise SystemExit("the demo's load was not planned")
    job = job_accept_plan(job=job, plan=plan, by=None, now=now)
    tasks_assign(job_id=job.id, now=now)
    return job


def _dispatcher(job: Job) -> User:
    from inventory.models import User

    return User.objects.get(username="dana", branch=job.branch)


def _page(user: User, name: str, address: str, *, profile: bool) -> Measured:
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    client = Client()
    client.force_login(user)
    size = len(_answer(client, address))  # the first of a process fills its caches
    with CaptureQueriesContext(connection) as queries:
        _answer(client, address)
        count = len(queries)
    walls, processors = [], []
    for _ in range(ASKED):
        wall, processor = time.perf_counter(), time.process_time()
        _answer(client, address)
        walls.append(time.perf_counter() - wall)
        processors.append(time.process_time() - processor)
    if profile:
        _print_profile(client, address)
    return Measured(
        page=name,
        size_kb=size // 1024,
        queries=count,
        wall_ms=statistics.median(walls) * 1000,
        processor_ms=statistics.median(processors) * 1000,
    )


def _answer(client: object, address: str) -> bytes:
    answer = client.get(address)  # type: ignore[attr-defined]
    if answer.status_code != 200:
        raise SystemExit(f"{address}: {answer.status_code}")
    return bytes(answer.content)


def _print_profile(client: object, address: str) -> None:
    import cProfile
    import pstats

    profiler = cProfile.Profile()
    profiler.runcall(_answer, client, address)
    pstats.Stats(profiler).sort_stats("cumulative").print_stats(70)


def _table(measured: Sequence[Measured]) -> str:
    return "\n".join(
        (
            f"`python -m tests.benchmarks.pages`: the larger load of the demo, medians of {ASKED} "
            f"answers; target {TARGET_MS} ms.",
            "",
            "| page | kB | queries | wall ms | processor ms |",
            "| --- | --- | --- | --- | --- |",
            *(
                f"| {page.page} | {page.size_kb} | {page.queries} | {page.wall_ms:.0f} "
                f"| {page.processor_ms:.0f} |"
                for page in measured
            ),
        )
    )


if __name__ == "__main__":
    sys.exit(main())
