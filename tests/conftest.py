"""Every test session gets servers of its own, started before Django reads its settings.

With pytest-xdist only the controller starts them; the workers find their addresses in the
environment, and each takes a database of the broker for itself. Several sessions can run side by
side in one checkout.
"""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack

import pytest
from django.conf import settings
from django.db import connection
from hypothesis import settings as hypothesis_settings

from config import celery_app
from config.addresses import broker_url
from config.embedded import EmbeddedError, servers_started
from config.embedded.directories import CHECKOUT

_running = ExitStack()

# The suite is the same every time, on a slow machine too; `make soak` looks further.
hypothesis_settings.register_profile("suite", deadline=None, derandomize=True)
hypothesis_settings.register_profile("soak", deadline=None, max_examples=2000)
hypothesis_settings.load_profile("suite")

StartWorker = Callable[..., "subprocess.Popen[bytes]"]
# Told to end just when a task's result is on its way, a pool process waits 30 s for its parent to
# count it (billiard's `_ensure_messages_consumed`) before both end by themselves.
WORKER_ENDS_S = 60


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    xdist_worker = getattr(config, "workerinput", {}).get("workerid")
    if xdist_worker:
        number = int(xdist_worker.removeprefix("gw")) + 1
        os.environ["REDIS_URL"] = os.environ["REDIS_URL"].replace("?db=0", f"?db={number}")
        # The settings have been read by then: what they and Celery know is put right as well.
        settings.REDIS_URL = os.environ["REDIS_URL"]
        settings.CELERY_BROKER_URL = broker_url(settings.REDIS_URL)
        celery_app.conf.broker_url = settings.CELERY_BROKER_URL
    elif not config.option.collectonly:
        os.environ.update(_servers_environment())
    # pytest-django sets Django up after this, if the settings have been read by then.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # a fast one


def _servers_environment() -> dict[str, str]:
    # The pattern names every session's directory, so that leftovers of killed ones are found.
    started = servers_started(f"t{os.getpid()}", leftovers="t[0-9]*")
    try:
        return _running.enter_context(started).environment()
    except EmbeddedError as error:
        raise pytest.UsageError(str(error)) from error


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if not (os.environ.get("CHROMIUM") or shutil.which("chromium")):
        terminalreporter.section("browser tests left out", yellow=True)
        terminalreporter.line("There is no Chromium here. On Debian, as root:")
        terminalreporter.line("apt-get install --no-install-recommends chromium libatomic1")


def pytest_unconfigure() -> None:
    _running.close()


@pytest.fixture
def start_worker(transactional_db: None) -> Iterator[StartWorker]:
    """Starts real Celery workers on the test's database: `start_worker("dispatch", "plan")`.

    They see only what is committed. Wait for what they write by a blocking read, not by a sleep.
    """
    started: list[subprocess.Popen[bytes]] = []

    def start(*queues: str, include: str = "", processes: int = 1) -> subprocess.Popen[bytes]:
        database = connection.settings_dict
        variables = os.environ | {
            "DATABASE_URL": f"postgresql://{database['USER']}:{database['PASSWORD']}@/"
            f"{database['NAME']}?host={database['HOST']}&port={database['PORT']}",
        }
        command = [sys.executable, "-m", "celery", "-A", "config", "worker"]
        command += ["-Q", ",".join(queues), "-c", str(processes), "-n", f"t{len(started)}@%h"]
        command += ["--without-gossip", "--without-mingle", "-l", "WARNING"]
        command += ["--include", include] if include else []
        worker = subprocess.Popen(command, cwd=CHECKOUT, env=variables, stdin=subprocess.DEVNULL)
        started.append(worker)
        return worker

    yield start
    for worker in started:
        worker.send_signal(signal.SIGTERM)
    for worker in started:
        worker.wait(timeout=WORKER_ENDS_S)
