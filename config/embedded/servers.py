"""Both servers of one directory, started together and stopped together."""

import os
import signal
import socket
import subprocess
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from config.embedded.account import Account, postgres_account
from config.embedded.binaries import postgres_binary, valkey_binary
from config.embedded.directories import (
    claim_directory,
    clear_leftovers,
    remove_directory,
    server_directory,
)
from config.embedded.errors import StartFailedError
from config.embedded.processes import ProcessKey, end_process, process_key

PATIENCE_S = 30

DATABASE_USER = "tierwright"


@dataclass(frozen=True, slots=True)
class Servers:
    """Where the two servers of a run answer, in the form the settings read."""

    directory: Path | None
    database_url: str
    redis_url: str

    def environment(self) -> dict[str, str]:
        """The variables that point the project at these servers."""
        return {"DATABASE_URL": self.database_url, "REDIS_URL": self.redis_url}


@contextmanager
def servers_started(
    name: str,
    *,
    environment: Mapping[str, str] = os.environ,
    keep: bool = False,
    leftovers: str | None = None,
) -> Iterator[Servers]:
    """Run both servers in the directory `name` of `.run`, and stop them at the end.

    A server that DATABASE_URL or REDIS_URL names is used as it is and not started here. Without
    `keep` the data is thrown away before and after, and PostgreSQL does not wait for the disk.
    `leftovers` is a pattern of names: what runs that were killed left under such names goes.
    Raises a child of `EmbeddedError`.
    """
    given_database = environment.get("DATABASE_URL", "")
    given_redis = environment.get("REDIS_URL", "")
    if given_database and given_redis:
        yield Servers(None, given_database, given_redis)
        return
    directory = server_directory(name)
    if not keep:
        clear_leftovers(leftovers or name)
    claim_directory(directory)
    started: list[tuple[ProcessKey, signal.Signals]] = []
    try:
        if not given_database:
            started.append((_postgres_started(directory, keep=keep), signal.SIGINT))
        if not given_redis:
            started.append((_valkey_started(directory, keep=keep), signal.SIGTERM))
        yield Servers(
            directory,
            given_database or f"postgresql://{DATABASE_USER}@/{DATABASE_USER}?host={directory}",
            given_redis or f"unix://{directory}/valkey.sock?db=0",
        )
    finally:
        for key, how in reversed(started):
            end_process(key, how)
        if keep:
            (directory / "owner").unlink(missing_ok=True)
        else:
            remove_directory(directory)


def _postgres_started(directory: Path, *, keep: bool) -> ProcessKey:
    program = postgres_binary("postgres")
    account = postgres_account(program, directory)
    data = directory / "postgres"
    if not (data / "PG_VERSION").exists():
        _database_made(directory, account)
    options = {
        "listen_addresses": "",
        "unix_socket_directories": str(directory),
        "max_connections": "100",
        "shared_buffers": "64MB",
        "log_min_messages": "warning",
    }
    if not keep:
        options |= {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off"}
    words = [part for key, value in options.items() for part in ("-c", f"{key}={value}")]
    return _started(
        [*account.prefix, str(program), "-D", str(data), *words],
        directory=directory,
        name="postgres",
        answers=lambda: _postgres_ready(data),
    )


def _database_made(directory: Path, account: Account) -> None:
    if account.owner:
        os.chown(directory, *account.owner)
    command = [*account.prefix, str(postgres_binary("initdb")), "-D", str(directory / "postgres")]
    command += ["-U", DATABASE_USER, "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync"]
    log = directory / "initdb.log"
    with log.open("wb") as out:
        made = subprocess.run(command, stdout=out, stderr=out, cwd=directory, check=False)
    if made.returncode:
        raise StartFailedError("initdb", log)
    single = [*account.prefix, str(postgres_binary("postgres")), "--single"]
    single += ["-D", str(directory / "postgres"), "postgres"]
    with log.open("ab") as out:
        made = subprocess.run(
            single,
            input=f"CREATE DATABASE {DATABASE_USER};\n".encode(),
            stdout=out,
            stderr=out,
            cwd=directory,
            check=False,
        )
    if made.returncode:
        raise StartFailedError("postgres --single", log)


def _postgres_ready(data: Path) -> bool:
    """PostgreSQL writes its state into the eighth line of postmaster.pid."""
    try:
        lines = (data / "postmaster.pid").read_text().splitlines()
    except OSError:
        return False
    return len(lines) > 7 and lines[7].strip() == "ready"


def _valkey_started(directory: Path, *, keep: bool) -> ProcessKey:
    path = directory / "valkey.sock"
    path.unlink(missing_ok=True)
    command = [str(valkey_binary()), "--port", "0", "--unixsocket", str(path)]
    command += ["--unixsocketperm", "700", "--dir", str(directory), "--daemonize", "no"]
    command += ["--databases", "64"]  # one for each process of a parallel test run
    command += ["--appendonly", "yes" if keep else "no", "--save", ""]
    return _started(
        command, directory=directory, name="valkey", answers=lambda: _valkey_answers(path)
    )


def _valkey_answers(path: Path) -> bool:
    with socket.socket(socket.AF_UNIX) as line:
        line.settimeout(1)
        try:
            line.connect(str(path))
            line.sendall(b"PING\r\n")
            return line.recv(16).startswith(b"+PONG")
        except OSError:
            return False


def _started(
    command: list[str], *, directory: Path, name: str, answers: Callable[[], bool]
) -> ProcessKey:
    """Start a server in a session of its own, so that Ctrl-C reaches only us, and await it."""
    log = directory / f"{name}.log"
    with log.open("ab") as out:
        child = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=out,
            stderr=out,
            cwd=directory,
            start_new_session=True,
        )
    key = process_key(child.pid)
    if key:
        (directory / f"{name}.key").write_text(f"{key}\n")
    until = time.monotonic() + PATIENCE_S
    while key and child.poll() is None and time.monotonic() < until:
        if answers():
            return key
        time.sleep(0.02)
    if key:
        end_process(key, signal.SIGKILL)
    raise StartFailedError(name, log)
