"""From a tap to every other screen, with 200 live clients: `python -m tests.benchmarks.live`.

A real uvicorn process on a PostgreSQL and a Valkey of its own; 20 jobs of 250 pieces, ten people on
each, each with an open stream of that job. Somebody reports a piece loaded, as a phone's outbox
does. Whoever hears of the job fetches the loader's page anew, as its script does. Measured from
just before the report is sent until another screen has heard of it, and until it holds the new
page. All on one machine, which also runs the clients: whose the processor time of a tap is, is
told beside. With `--targets` the exit status is 1 when the target is missed.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import random
import socket
import statistics
import subprocess
import sys
import time
import urllib.request
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

from config.embedded import servers_started
from config.embedded.directories import CHECKOUT
from tests.benchmarks._results import replace_part

if TYPE_CHECKING:
    from jobs.models import Job

TITLE = "Live screens"
JOBS, PEOPLE = 20, 10
TAPS = 100
TARGET_MS = 400
PATIENCE_S = 60
TOKEN = "a" * 32


@dataclass(frozen=True, slots=True)
class Screen:
    """Somebody's page: whose, on which job, with which session."""

    user: int
    job: str
    session: str


@dataclass(slots=True)
class Tap:
    """One report: when it was sent, and after how many ms the others heard of it and showed it."""

    job: str
    at: float
    heard_ms: list[float] = field(default_factory=list)
    shown_ms: list[float] = field(default_factory=list)
    all_shown: asyncio.Event = field(default_factory=asyncio.Event)


@dataclass(frozen=True, slots=True)
class Spent:
    """Processor seconds of the clients, which are this process, the web server, and the database
    with the broker."""

    clients_s: float
    server_s: float
    stores_s: float


@dataclass(frozen=True, slots=True)
class Measured:
    """The taps, and what all of them together took."""

    taps: Sequence[Tap]
    spent: Spent


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
    slowest = _percentile(_all(measured.taps, "shown_ms"), 95)
    return 1 if asked.targets and slowest > TARGET_MS else 0


def _measured() -> Measured:
    import django

    django.setup()
    from django.test.utils import setup_databases, setup_test_environment, teardown_databases

    setup_test_environment()
    old = setup_databases(verbosity=0, interactive=False)
    try:
        screens = _screens()
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        server = _server(port)
        try:
            return asyncio.run(_taps(screens, port, server.pid))
        finally:
            server.terminate()
            server.wait(timeout=30)
    finally:
        teardown_databases(old, verbosity=0)


def _screens() -> list[Screen]:
    from django.conf import settings
    from django.test import Client

    from jobs.services import crew_member_put
    from tests.jobs import stage

    branch = stage.make_branch()
    load = stage.make_load(branch)
    found = []
    for number in range(JOBS):
        if number:
            load.pk, load.reference = None, f"load {number}"
            load.save()
        job = _job(load)
        for one in range(PEOPLE):
            user = stage.make_person(branch, f"p{number}-{one}", "helper")
            crew_member_put(job=job, user=user, part="helper")
            client = Client()
            client.force_login(user)
            session = client.cookies[settings.SESSION_COOKIE_NAME].value
            found.append(Screen(user.pk, str(job.pk), session))
    return found


def _job(load: object) -> Job:
    from tests.benchmarks import events

    return events._job(load)


def _server(port: int) -> subprocess.Popen[bytes]:
    from django.db import connection

    told = connection.settings_dict
    address = f"postgresql://{told['USER']}:{told['PASSWORD']}@/{told['NAME']}"
    variables = os.environ | {
        "DATABASE_URL": f"{address}?host={told['HOST']}&port={told['PORT']}",
        "DATABASE_POOL_SIZE": "10",
    }
    command = [sys.executable, "-m", "uvicorn", "config.asgi:application", "--port", str(port)]
    command += ["--timeout-graceful-shutdown", "1", "--no-access-log", "--log-level", "warning"]
    server = subprocess.Popen(command, cwd=CHECKOUT, env=variables, stdin=subprocess.DEVNULL)
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until and server.poll() is None:
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/health/", timeout=PATIENCE_S).read()
            return server
        except OSError:
            time.sleep(0.1)
    raise SystemExit("the web server does not answer")


def _spent(server: int) -> Spent:
    """Up to now."""
    return Spent(
        clients_s=time.process_time(),
        server_s=_processor_s(server),
        stores_s=sum(_processor_s(child) for child in _children(os.getpid()) if child != server),
    )


def _processor_s(process: int) -> float:
    """A process's and its children's, also of those that have ended."""
    told = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    ticks = sum(map(int, told[11:15]))
    own_s = ticks / os.sysconf("SC_CLK_TCK")
    return own_s + sum(map(_processor_s, _children(process)))


def _children(process: int) -> list[int]:
    return [
        int(one) for one in Path(f"/proc/{process}/task/{process}/children").read_text().split()
    ]


async def _taps(screens: Sequence[Screen], port: int, server: int) -> Measured:
    """Open all streams, then one tap after another, each shown everywhere before the next."""
    now: dict[str, Tap] = {}
    opened = [asyncio.Event() for _ in screens]
    listening = [
        asyncio.create_task(_listen(screen, port, now, event))
        for screen, event in zip(screens, opened, strict=True)
    ]
    await asyncio.wait_for(asyncio.gather(*(event.wait() for event in opened)), PATIENCE_S)
    for screen in screens[::PEOPLE]:  # a page of each job, so that its plan has been read once
        await _page(screen, port)
    rng, taps, before = random.Random(1), [], _spent(server)
    for number in range(TAPS):
        screen = rng.choice(screens)
        tap = Tap(screen.job, time.perf_counter())
        now[screen.job] = tap
        await _report(screen, port, f"{number + 1:03d}")
        await asyncio.wait_for(tap.all_shown.wait(), PATIENCE_S)
        del now[screen.job]
        taps.append(tap)
    after = _spent(server)
    for task in listening:
        task.cancel()
    await asyncio.gather(*listening, return_exceptions=True)
    return Measured(taps, _difference(after, before))


def _difference(after: Spent, before: Spent) -> Spent:
    return Spent(
        after.clients_s - before.clients_s,
        after.server_s - before.server_s,
        after.stores_s - before.stores_s,
    )


async def _listen(screen: Screen, port: int, now: dict[str, Tap], opened: asyncio.Event) -> None:
    reader, writer = await asyncio.open_connection("127.0.0.1", port, limit=1 << 22)
    try:
        writer.write(_request("GET", f"/live/?jobs={screen.job}", screen))
        async for line in reader:
            if line.startswith(b": open"):
                opened.set()
            if line.startswith(b"data:") and screen.job.encode() in line:
                tap = now.get(screen.job)
                if tap is not None:
                    tap.heard_ms.append(1000 * (time.perf_counter() - tap.at))
                    await _page(screen, port)
                    tap.shown_ms.append(1000 * (time.perf_counter() - tap.at))
                    if len(tap.shown_ms) == PEOPLE:
                        tap.all_shown.set()
    finally:
        writer.close()


async def _page(screen: Screen, port: int) -> None:
    address = f"/jobs/{screen.job}/loader/"
    answer = await _asked(port, _request("GET", address, screen, "HX-Request: true"))
    if not answer.startswith(b"HTTP/1.1 200"):
        raise SystemExit(answer[:200].decode())


async def _report(screen: Screen, port: int, tag: str) -> None:
    event = {
        "uuid": str(uuid4()),
        "kind": "piece_loaded",
        "version": 1,
        "happened_at": "2026-03-04T12:00:00+00:00",
        "payload": {"tag": tag},
    }
    body = json.dumps({"who": screen.user, "clock_offset_ms": 0, "events": [event]}).encode()
    more = ("Content-Type: application/json", f"X-CSRFToken: {TOKEN}")
    address = f"/jobs/{screen.job}/batch/"
    answer = await _asked(port, _request("POST", address, screen, *more, body=body))
    if not answer.startswith(b"HTTP/1.1 200") or b'"refused"' in answer:
        raise SystemExit(answer[-400:].decode())


async def _asked(port: int, request: bytes) -> bytes:
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    try:
        writer.write(request)
        return await reader.read()
    finally:
        writer.close()


def _request(method: str, address: str, screen: Screen, *more: str, body: bytes = b"") -> bytes:
    lines = [
        f"{method} {address} HTTP/1.1",
        "Host: localhost",
        f"Cookie: sessionid={screen.session}; csrftoken={TOKEN}",
        *more,
        f"Content-Length: {len(body)}",
        *(() if address.startswith("/live/") else ("Connection: close",)),
    ]
    return "\r\n".join(lines).encode() + b"\r\n\r\n" + body


def _all(taps: Sequence[Tap], name: str) -> list[float]:
    return sorted(ms for tap in taps for ms in getattr(tap, name))


def _percentile(ordered: Sequence[float], share: int) -> float:
    return ordered[len(ordered) * share // 100]


def _table(measured: Measured) -> str:
    taps, spent = measured.taps, measured.spent
    heard, shown = _all(taps, "heard_ms"), _all(taps, "shown_ms")
    return "\n".join(
        (
            f"`python -m tests.benchmarks.live`: {JOBS * PEOPLE} open streams on one uvicorn "
            f"process, {PEOPLE} screens a job, {TAPS} taps; wall time, clients on this machine. "
            f"Load of the machine at the end: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores.",
            "",
            "| from the tap until | median ms | 95th percentile ms | target |",
            "| --- | --- | --- | --- |",
            f"| another screen hears of it | {statistics.median(heard):.0f} "
            f"| {_percentile(heard, 95):.0f} | |",
            f"| it holds the new page | {statistics.median(shown):.0f} "
            f"| {_percentile(shown, 95):.0f} | {TARGET_MS} |",
            "",
            f"Processor time of a tap and the {PEOPLE} pages after it: "
            f"web server {_ms(spent.server_s)} ms, database and broker {_ms(spent.stores_s)} ms, "
            f"clients {_ms(spent.clients_s)} ms.",
        )
    )


def _ms(all_taps_s: float) -> str:
    return f"{1000 * all_taps_s / TAPS:.0f}"


if __name__ == "__main__":
    sys.exit(main())
