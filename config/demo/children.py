"""The worker and the web server beside the demo, and their end."""

import http.client
import os
import signal
import socket
import ssl
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from types import TracebackType

from config.demo.certificate import TlsFiles
from config.demo.errors import ChildEndedError, ChildSilentError
from config.demo.site import Site
from config.embedded.directories import CHECKOUT
from config.embedded.processes import end_process, process_key

AS_SERVED = {"TIERWRIGHT_DEBUG": "false"}  # people meet our own pages when something is not found
PATIENCE_S = 180  # a worker compiles the scheduler's kernels before it begins
LOOK_EVERY_S = 0.3


def port_is_free(port: int) -> bool:
    """Whether the pages could be served on this port of this machine."""
    with socket.socket() as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind(("127.0.0.1", port))
        except (OSError, OverflowError):
            return False
    return True


class Children:
    """Processes that end with the `with` block, and, by their keys, at the next start at least."""

    def __init__(self, directory: Path | None) -> None:
        self.directory = directory or Path(tempfile.mkdtemp(prefix="tierwright-"))
        self.running: dict[str, subprocess.Popen[bytes]] = {}

    def __enter__(self) -> "Children":
        return self

    def __exit__(
        self,
        _kind: type[BaseException] | None,
        _error: BaseException | None,
        _trace: TracebackType | None,
    ) -> None:
        for child in reversed(self.running.values()):
            if key := process_key(child.pid):
                end_process(key, signal.SIGTERM)

    def start_worker(self) -> None:
        """A Celery worker with the one beat inside it, and one that only plans anew."""
        command = ["celery", "-A", "config", "worker", "--without-gossip", "-l", "WARNING"]
        beat = ["-B", "-s", str(self.directory / "beat"), "-n", "floor@%h"]
        self._start("worker", [*command, *beat, "-Q", "plan,dispatch,papers", "-c", "2"], {})
        again = ["-n", "replan@%h", "-Q", "replan", "-c", "1"]
        self._start("replanning worker", [*command, *again], {})

    def start_web(self, site: Site, tls: TlsFiles | None) -> None:
        """The pages and the API under ASGI, with TLS for the building."""
        command = ["uvicorn", "config.asgi:application", "--host", site.listen]
        command += ["--port", str(site.port), "--timeout-graceful-shutdown", "2", "--no-access-log"]
        if tls is not None:
            command += ["--ssl-certfile", str(tls.certificate), "--ssl-keyfile", str(tls.key)]
        self._start("web server", command, {"DATABASE_POOL_SIZE": "8", **AS_SERVED})

    def await_web(self, site: Site) -> None:
        """Return once the pages and the servers behind them answer."""
        self.await_from("web server", lambda: _is_healthy(site))

    def await_from(self, name: str, answers: Callable[[], bool]) -> None:
        """Look until `answers()`; raise a `DemoError` if a child ends or time runs out first."""
        until = time.monotonic() + PATIENCE_S
        while not answers():
            self.look()
            if time.monotonic() > until:
                raise ChildSilentError(name, self._log(name))
            time.sleep(LOOK_EVERY_S)

    def watch(self) -> None:
        """Stay until a child ends; Ctrl-C is the usual way out."""
        while True:
            self.look()
            time.sleep(LOOK_EVERY_S)

    def look(self) -> None:
        """Raise `ChildEndedError` if a child has ended."""
        for name, child in self.running.items():
            if child.poll() is not None:
                raise ChildEndedError(name, self._log(name))

    def _start(self, name: str, command: list[str], more: dict[str, str]) -> None:
        with self._log(name).open("ab") as out:
            child = subprocess.Popen(
                [sys.executable, "-m", *command],
                cwd=CHECKOUT,
                env=os.environ | more,
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=out,
                start_new_session=True,  # Ctrl-C reaches only us, and we end it in order
            )
        self.running[name] = child
        key = process_key(child.pid)
        (self.directory / f"{name.replace(' ', '-')}.key").write_text(f"{key}\n")

    def _log(self, name: str) -> Path:
        return self.directory / f"{name.replace(' ', '-')}.log"


def _is_healthy(site: Site) -> bool:
    line: http.client.HTTPConnection = http.client.HTTPConnection("127.0.0.1", site.port, timeout=5)
    if site.is_lan:
        # Our own process on this machine: whether it is up is asked, not who it is.
        trusting = ssl._create_unverified_context()
        line = http.client.HTTPSConnection("127.0.0.1", site.port, timeout=5, context=trusting)
    try:
        line.request("GET", "/health/")
        return line.getresponse().status == http.HTTPStatus.OK
    except OSError:
        return False
    finally:
        line.close()
