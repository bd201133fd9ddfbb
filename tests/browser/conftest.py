"""Browser tests: Debian's Chromium against a real uvicorn process on the test's database.

pytest-django's own live server speaks WSGI, where streams stay silent. Chromium is told to trust
localhost, where service workers need no certificate.
"""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest

from config.embedded.directories import CHECKOUT

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page, Playwright

    from inventory.models import User

CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium") or ""
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
]
PATIENCE_S = 60
LONGEST_S = 300
PHONE = {"width": 360, "height": 740}
DESK = {"width": 1440, "height": 900}

# Playwright's sync API runs an event loop in the test's thread; Django would take the tests'
# own queries there for a mistake.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

if not CHROMIUM:
    # tests/conftest.py says so at the end of the run.
    collect_ignore_glob = ["test_*.py"]

Enter = Callable[..., "Page"]


# Both end with their file: an event loop that is left running is found by the next test that
# wants one of its own, and idle processes cost the rest of the suite.
@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=PATIENCE_S * 1000)
    with sync_playwright() as started:
        yield started


@pytest.fixture
def browser(playwright: Playwright, transactional_db: None) -> Iterator[Browser]:
    """A Chromium of the test's own, killed before the database is emptied.

    Nothing is closed: to close a page or a context waits without an end now and then.
    """
    mark = f"--tests-mark={uuid4()}"  # Chromium passes over flags that it does not know
    with killed_at_the_end(mark):
        yield playwright.chromium.launch(executable_path=CHROMIUM, args=[*FLAGS, mark])


@contextmanager
def killed_at_the_end(argument: str) -> Iterator[None]:
    """Kill the browser that has this argument, or after `LONGEST_S` if a call waits for ever."""
    too_late = threading.Timer(LONGEST_S, kill_processes_with, [argument])
    too_late.start()
    try:
        yield
    finally:
        too_late.cancel()
        kill_processes_with(argument)
        _requests_give_way()


def _requests_give_way() -> None:
    """Where emptying the tables and a request still running block each other, the request ends.

    PostgreSQL ends the side that looks for a deadlock first.
    """
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SET deadlock_timeout = '60s'")


def kill_processes_with(argument: str) -> None:
    """Kill, as by a dead battery, every process that was started with an argument."""
    for told in Path("/proc").glob("[0-9]*/cmdline"):
        with suppress(OSError):
            if argument.encode() in told.read_bytes().split(b"\0"):
                os.kill(int(told.parent.name), signal.SIGKILL)


@pytest.fixture(scope="module")
def served(django_db_setup: None) -> Iterator[str]:
    """The address of the pages, served by one uvicorn process for a file of tests."""
    from django.db import connection

    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    told = connection.settings_dict
    variables = os.environ | {
        "DATABASE_URL": f"postgresql://{told['USER']}:{told['PASSWORD']}@/"
        f"{told['NAME']}?host={told['HOST']}&port={told['PORT']}",
    }
    command = [sys.executable, "-m", "uvicorn", "config.asgi:application", "--port", str(port)]
    command += ["--timeout-graceful-shutdown", "1", "--no-access-log", "--log-level", "warning"]
    server = subprocess.Popen(command, cwd=CHECKOUT, env=variables, stdin=subprocess.DEVNULL)
    home = f"http://localhost:{port}"
    try:
        _await(home, server)
        yield home
    finally:
        server.terminate()
        server.wait(timeout=30)


def _await(home: str, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + PATIENCE_S
    while True:
        assert server.poll() is None, "the web server has ended"
        try:
            urllib.request.urlopen(f"{home}/health/", timeout=PATIENCE_S).read()
            return
        except OSError:
            assert time.monotonic() < until, "the web server does not answer"
            time.sleep(0.1)


@pytest.fixture
def window(browser: Browser, served: str) -> Callable[..., BrowserContext]:
    """Opens windows that share nothing with each other: as good as phones of their own."""

    def open_window(size: dict[str, int] = PHONE, *, worker: bool = True) -> BrowserContext:
        context = browser.new_context(
            base_url=served,
            viewport=size,  # type: ignore[arg-type]
            service_workers="allow" if worker else "block",
        )
        context.set_default_timeout(PATIENCE_S * 1000)
        return context

    return open_window


@pytest.fixture
def enter(window: Callable[..., BrowserContext], served: str) -> Enter:
    """A page of somebody who is signed in: `enter(user, "/my-task/")`."""

    def enter_as(
        user: User, address: str, size: dict[str, int] = PHONE, *, worker: bool = True
    ) -> Page:
        from django.conf import settings
        from django.test import Client

        client = Client()
        client.force_login(user)
        key = client.cookies[settings.SESSION_COOKIE_NAME].value
        context = window(size, worker=worker)
        context.add_cookies([{"name": "sessionid", "value": key, "url": served}])
        page = context.new_page()
        page.goto(address)
        return page

    return enter_as


@pytest.fixture
def picture(request: pytest.FixtureRequest) -> Callable[[Page, str], None]:
    """Keeps a picture of a page in .run/pictures, for people to look at; nothing compares them."""

    def keep(page: Page, name: str) -> None:
        target = Path(CHECKOUT) / ".run" / "pictures" / f"{name}.png"
        page.screenshot(path=target, full_page=True)

    return keep
