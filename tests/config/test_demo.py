"""The demo, as a newcomer runs it: it serves, ends on Ctrl-C, and refuses a port that is in use."""

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from uuid import uuid4

import pytest

from config.demo.children import port_is_free
from config.embedded.directories import CHECKOUT, remove_directory, server_directory


@pytest.fixture
def name() -> Iterator[str]:
    own = f"y{uuid4().hex[:8]}"
    yield own
    remove_directory(server_directory(own))


@pytest.fixture
def port() -> Iterator[int]:
    """A port that nobody else takes: it is held until the test is over, except while it is used."""
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        yield held.getsockname()[1]


def demo(*arguments: str) -> "subprocess.Popen[str]":
    kept = {key: value for key, value in os.environ.items() if not key.endswith("_URL")}
    return subprocess.Popen(
        [sys.executable, "-m", "config.demo", *arguments],
        cwd=CHECKOUT,
        env=kept | {"COLUMNS": "200"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_a_port_in_use_is_told_and_nothing_is_started(name: str, port: int) -> None:
    ran = demo("--directory", name, "--port", str(port))
    out, err = ran.communicate()

    assert ran.returncode == 2
    assert f"Port {port} is in use" in err
    assert out == ""
    assert not server_directory(name).exists()


def test_it_plans_prints_serves_and_ends_without_a_trace(name: str) -> None:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        port = trial.getsockname()[1]
    ran = demo("--directory", name, "--port", str(port), "--seconds", "1")
    assert ran.stdout
    assert ran.stderr
    printed = ""
    for line in ran.stdout:
        printed += line
        if "abe, bea" in line:
            break
    home = answer_of(port, "/sign-in/")
    processes = keys_of(name)
    ran.send_signal(signal.SIGINT)
    _, err = ran.communicate(timeout=60)

    assert ran.returncode == 130, printed + err
    for heading in ("Pull sheet, Truck 7", "Pull sheet, Truck 3", "Tier 1 of", "First tasks"):
        assert heading in printed
    assert set(re.findall(r"LOAD-\d+", printed)) == {"LOAD-0412", "LOAD-0420"}
    assert home == 200
    assert processes == ["postgres", "replanning-worker", "valkey", "web-server", "worker"]
    assert not server_directory(name).exists()
    assert port_is_free(port)


def keys_of(name: str) -> list[str]:
    return sorted(path.stem for path in server_directory(name).glob("*.key"))


def answer_of(port: int, path: str) -> int:
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    line.request("GET", path)
    status = line.getresponse().status
    line.close()
    return status
