"""Events and next tasks on PostgreSQL: `python -m tests.benchmarks.events [--targets]`.

A job of 250 pieces in ten vaults is done from the first pull to the last tier by its own events,
in batches of 50 as phones send them, by one process on a PostgreSQL and a Valkey of its own. Then
the same job is done again task by task: each report, then the next tasks given out by the floor's
schedule, which was made before. A load of 300 pieces is begun, and its loader asks over the API
what fits into gaps all over its face (`_fits_asked`). At last a household's load is begun and
disturbed, and planned anew each time (`_replanned`).

Times are processor time of this process and of the database's that serves it, which a busy machine
leaves be; wall time is told beside it. A full run writes its part of results.md. With `--targets`
the exit status is 1 if a target is missed.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from config.embedded import servers_started
from tests.benchmarks._fits_asked import FitsAsked, fits_asked
from tests.benchmarks._replanned import BEGUN_PERCENT, SEARCH_S, Replanned, replanned
from tests.benchmarks._results import replace_part

if TYPE_CHECKING:
    from jobs.models import Job, Task

TITLE = "Events and next tasks"
PIECES, VAULTS, TIERS = 250, 10, 12
BATCH = 50
HANDED_OUT = 60
EVENTS_TARGET, NEXT_TARGET_MS, FITS_TARGET_MS, NEW_TASKS_TARGET_S = 300, 50, 100, 3.0


@dataclass(frozen=True, slots=True)
class Spent:
    """Seconds of processors, and seconds on the wall."""

    processor: float
    wall: float


@dataclass(frozen=True, slots=True)
class Measured:
    """How many events, what recording them took, what each next task and each answer to "What
    fits here?" took, and the replans."""

    events: int
    recording: Spent
    next_tasks: tuple[Spent, ...]
    fits: FitsAsked
    replans: Replanned

    @property
    def events_per_s(self) -> float:
        return self.events / self.recording.processor

    @property
    def next_95_ms(self) -> float:
        return _percentile([spent.processor for spent in self.next_tasks], 95)

    @property
    def fits_95_ms(self) -> float:
        return _percentile(self.fits.processor_s, 95)

    @property
    def is_on_target(self) -> bool:
        return (
            self.events_per_s >= EVENTS_TARGET
            and self.next_95_ms <= NEXT_TARGET_MS
            and self.fits_95_ms <= FITS_TARGET_MS
            and self.replans.median_s <= NEW_TASKS_TARGET_S
        )


def processors_s() -> float:
    """Processor time of this process and of its connection's process at the database."""
    from django.db import connection

    connection.ensure_connection()
    server = Path(f"/proc/{connection.connection.info.backend_pid}/schedstat")
    return time.process_time() + int(server.read_text().split()[0]) / 1e9


@contextmanager
def spending() -> Iterator[list[Spent]]:
    """Measures what is done within; the list has one entry afterwards."""
    spent: list[Spent] = []
    wall_s, processor_s = time.perf_counter(), processors_s()
    yield spent
    spent.append(Spent(processors_s() - processor_s, time.perf_counter() - wall_s))


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
    return 1 if asked.targets and not measured.is_on_target else 0


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
    from django.db.models import Value
    from django.db.models.functions import Concat

    from config.celery import imports_set_aside
    from inventory.models import User
    from tests.jobs import stage

    branch = stage.make_branch()
    dana = stage.make_person(branch, "dana", "dispatcher")
    load = stage.make_load(branch)
    job = _job(load)
    events = [_report(task) for task in job.tasks.order_by("sequence")]
    with spending() as recording:
        _record(job, events, dana)
    fits = fits_asked(_another(load, "face"), dana, processors_s, time.perf_counter)
    imports_set_aside()  # from here on it is a worker that is measured
    next_tasks = tuple(_next_tasks(_job(_another(load, "second"))))
    User.objects.exclude(pk=dana.pk).update(username=Concat("username", Value(" of the second")))
    return Measured(
        events=len(events),
        recording=recording[0],
        next_tasks=next_tasks,
        fits=fits,
        replans=replanned(_another(load, "third"), processors_s),
    )


def _another(load: Any, reference: str) -> Any:
    load.pk, load.reference = None, reference
    load.save()
    return load


def _job(load: Any) -> Job:
    from jobs.services import job_accept_plan
    from tests.jobs import stage

    plan = stage.store_plan(load, _plan_document(), _request_document())
    return job_accept_plan(job=stage.make_job(load), plan=plan, by=None, now=stage.NOW)


def _record(job: Job, events: list[dict[str, Any]], actor: Any) -> None:
    from jobs.services import events_record
    from tests.jobs.stage import NOW

    for start in range(0, len(events), BATCH):
        answers = events_record(job=job, events=events[start : start + BATCH], actor=actor, now=NOW)
        if any(answer.answer != "recorded" for answer in answers):
            raise SystemExit(f"an event was not recorded: {answers}")


def _next_tasks(job: Job) -> Iterator[Spent]:
    """From asking until the next tasks are given and one of them is read, again and again."""
    from jobs.models import Assignment
    from jobs.selectors.tasks import task_in_hand
    from jobs.services import events_record, schedule_make, tasks_assign
    from tests.jobs import stage

    stage.make_crew(job)
    schedule_make(job_id=job.id, worker="benchmark", now=stage.NOW)
    for _ in range(HANDED_OUT):
        given = Assignment.objects.filter(task__job=job, ended_at=None).order_by("task__sequence")
        with spending() as spent:
            tasks_assign(job_id=job.id, now=stage.NOW)
            first = given.select_related("task", "person").first()
            if first is None:
                return
            task_in_hand(user=first.person)
        yield spent[0]
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


def _percentile(seconds: Sequence[float], percent: int) -> float:
    """In milliseconds."""
    return 1000 * sorted(seconds)[len(seconds) * percent // 100]


def _table(measured: Measured) -> str:
    processor, wall = (
        [getattr(spent, name) for spent in measured.next_tasks] for name in ("processor", "wall")
    )
    walled = measured.events / measured.recording.wall
    fits, replans = measured.fits, measured.replans
    return "\n".join(
        (
            f"`python -m tests.benchmarks.events`: a job of {PIECES} pieces, "
            f"{measured.events} events, one process, PostgreSQL. Tasks are handed out by the "
            "floor's schedule. Processor time of the process and of the database's that serves it; "
            "on the wall beside it.",
            "",
            "| what | processor time | on the wall | target |",
            "| --- | --- | --- | --- |",
            f"| events a second, in batches of {BATCH} | {measured.events_per_s:.0f} "
            f"| {walled:.0f} | {EVENTS_TARGET} |",
            f"| next task, median | {_percentile(processor, 50):.0f} ms "
            f"| {_percentile(wall, 50):.0f} ms | |",
            f"| next task, 95th percentile | {_percentile(processor, 95):.0f} ms "
            f"| {_percentile(wall, 95):.0f} ms | {NEXT_TARGET_MS} ms |",
            f"| what fits here, over the API, {fits.pieces} pieces, median "
            f"| {_percentile(fits.processor_s, 50):.0f} ms "
            f"| {_percentile(fits.wall_s, 50):.0f} ms | |",
            f"| what fits here, 95th percentile | {_percentile(fits.processor_s, 95):.0f} ms "
            f"| {_percentile(fits.wall_s, 95):.0f} ms | {FITS_TARGET_MS} ms |",
            f"| from an event to new tasks, {SEARCH_S:.0f} s of search, median "
            f"| {replans.median_s:.2f} s | | {NEW_TASKS_TARGET_S:.0f} s |",
            f"| the longest of {len(replans.seconds)} | {max(replans.seconds):.2f} s | | |",
            "",
            f"What fits here: {len(fits.processor_s)} gaps, {fits.answered} of them with a piece "
            "that may go.",
            "",
            f"New tasks: a load of {replans.pieces} pieces, {BEGUN_PERCENT} % of its tasks done, "
            f"one processor. {'; '.join(replans.endings)}.",
        )
    )


if __name__ == "__main__":
    sys.exit(main())
