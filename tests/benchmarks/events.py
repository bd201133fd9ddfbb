"""Events and next tasks on PostgreSQL: `python -m tests.benchmarks.events [--targets]`.

A job of 250 pieces in ten vaults is done from the first pull to the last tier by its own events,
in batches of 50 as phones send them, by one process on a PostgreSQL and a Valkey of its own. Then
the same job is done again task by task: each report, then the next tasks given out by the floor's
schedule, which was made before.

Times are wall times. A full run writes its part of results.md. With `--targets` the exit status
is 1 if a target is missed.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from config.embedded import servers_started
from tests.benchmarks._results import replace_part

if TYPE_CHECKING:
    from jobs.models import Job, Task

TITLE = "Events and next tasks"
PIECES, VAULTS, TIERS = 250, 10, 12
BATCH = 50
HANDED_OUT = 60
EVENTS_TARGET, NEXT_TARGET_MS = 300, 50


@dataclass(frozen=True, slots=True)
class Measured:
    """Events a second in batches, and how long the next task took, in milliseconds."""

    events: int
    events_per_s: float
    next_median_ms: float
    next_95_ms: float


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--targets", action="store_true")
    asked = parser.parse_args(arguments)
    with servers_started(f"bench{os.getpid()}", leftovers="bench[0-9]*") as servers:
        os.environ.update(servers.environment())
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
        measured = _measured()
    sys.stdout.write(_table(measured) + "\n")
    replace_part(TITLE, _table(measured))
    missed = measured.events_per_s < EVENTS_TARGET or measured.next_95_ms > NEXT_TARGET_MS
    return 1 if asked.targets and missed else 0


def _measured() -> Measured:
    import django

    django.setup()
    from django.test.utils import setup_databases, teardown_databases

    old = setup_databases(verbosity=0, interactive=False)
    try:
        return _measure()
    finally:
        teardown_databases(old, verbosity=0)


def _measure() -> Measured:
    from tests.jobs import stage

    branch = stage.make_branch()
    dana = stage.make_person(branch, "dana", "dispatcher")
    load = stage.make_load(branch)
    job = _job(load)
    events = [_report(task) for task in job.tasks.order_by("sequence")]
    count, took_s = len(events), _record(job, events, dana)
    load.pk, load.reference = None, "second"
    load.save()
    waits_ms = sorted(_next_tasks(_job(load)))
    return Measured(
        events=count,
        events_per_s=count / took_s,
        next_median_ms=statistics.median(waits_ms),
        next_95_ms=waits_ms[int(0.95 * len(waits_ms))],
    )


def _job(load: Any) -> Job:
    from jobs.services import job_accept_plan
    from loading.models import LoadPlan, PlanRun
    from tests.jobs import stage

    request = _request_document()
    run = PlanRun.objects.create(
        load=load,
        request_document=request,
        seed=1,
        budget_s=1,
        status="done",
        finished_at=stage.NOW,
    )
    plan = LoadPlan.objects.create(
        load=load,
        version=1,
        run=run,
        request_document=request,
        document=_plan_document(),
        figures={},
        checked_at=stage.NOW,
    )
    return job_accept_plan(job=stage.make_job(load), plan=plan, by=None, now=stage.NOW)


def _record(job: Job, events: list[dict[str, Any]], actor: Any) -> float:
    from jobs.services import events_record
    from tests.jobs.stage import NOW

    begun = time.perf_counter()
    for start in range(0, len(events), BATCH):
        answers = events_record(job=job, events=events[start : start + BATCH], actor=actor, now=NOW)
        if any(answer.answer != "recorded" for answer in answers):
            raise SystemExit(f"an event was not recorded: {answers}")
    return time.perf_counter() - begun


def _next_tasks(job: Job) -> Iterator[float]:
    """Milliseconds from asking until the next tasks are given and read, one after another."""
    from jobs.models import Assignment
    from jobs.selectors.tasks import task_in_hand
    from jobs.services import events_record, schedule_make, tasks_assign
    from tests.jobs import stage

    stage.make_crew(job)
    schedule_make(job_id=job.id, worker="benchmark", now=stage.NOW)
    for _ in range(HANDED_OUT):
        begun = time.perf_counter()
        tasks_assign(job_id=job.id, now=stage.NOW)
        given = Assignment.objects.filter(task__job=job, ended_at=None).order_by("task__sequence")
        first = given.select_related("task", "person").first()
        if first is None:
            return
        task_in_hand(user=first.person)
        yield (time.perf_counter() - begun) * 1000
        events_record(job=job, events=[_report(first.task)], actor=first.person, now=stage.NOW)


def _report(task: Task) -> dict[str, Any]:
    from tests.jobs.reports import report_done

    return report_done(task) | {"uuid": str(uuid4())}


def _tag(number: int) -> str:
    return f"{number + 1:03d}"


def _vault(number: int) -> str:
    return f"V{number * VAULTS // PIECES}"


def _tier(number: int) -> int:
    return number * TIERS // PIECES + 1


def _request_document() -> dict[str, Any]:
    from tests.jobs.scenario import REQUEST, item

    numbers = range(PIECES)
    return REQUEST | {
        "dock": {"vault_spots": 2, "floor_m2": 20},
        "lanes": {"names": [f"L{lane}" for lane in range(VAULTS)], "depth": 1, "levels": 1},
        "vaults": [
            {
                "code": f"V{vault}",
                "lane": f"L{vault}",
                "depth": 1,
                "level": 1,
                "items": [_tag(n) for n in numbers if _vault(n) == f"V{vault}"],
            }
            for vault in range(VAULTS)
        ],
        "other_vaults": [],
        "items": [item(_tag(n), "carton", [600, 450, 400], 12, carton=True) for n in numbers],
    }


def _plan_document() -> dict[str, Any]:
    """Steps in a sound order. The places are all one: no rule of the truck is asked for here."""
    from tests.jobs.scenario import PLAN, placed

    return PLAN | {
        "steps": list(_steps()),
        "placements": [
            placed(_tag(n), _tier(n), [0, 0, 0], [600, 450, 400]) for n in range(PIECES)
        ],
        "fills": [],
    }


def _steps() -> Iterator[dict[str, Any]]:
    for number in range(PIECES):
        if number == 0 or _vault(number) != _vault(number - 1):
            yield {"do": "pull", "vault": _vault(number)}
        yield {"do": "unpack", "tag": _tag(number)}
        yield {"do": "load", "tag": _tag(number)}
        last = number == PIECES - 1
        if last or _vault(number + 1) != _vault(number):
            yield {"do": "clear", "vault": _vault(number)}
        if last or _tier(number + 1) != _tier(number):
            yield {"do": "close", "tier": _tier(number)}


def _table(measured: Measured) -> str:
    return "\n".join(
        (
            f"`python -m tests.benchmarks.events`: a job of {PIECES} pieces, "
            f"{measured.events} events, one process, PostgreSQL; wall time. Tasks are handed out "
            "by the floor's schedule.",
            "",
            "| what | measured | target |",
            "| --- | --- | --- |",
            f"| events a second, in batches of {BATCH} | {measured.events_per_s:.0f} "
            f"| {EVENTS_TARGET} |",
            f"| next task, median | {measured.next_median_ms:.0f} ms | |",
            f"| next task, 95th percentile | {measured.next_95_ms:.0f} ms | {NEXT_TARGET_MS} ms |",
        )
    )


if __name__ == "__main__":
    sys.exit(main())
