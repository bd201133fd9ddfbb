"""The project's own servers start, answer, stop, and clear what a killed run left behind."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import psycopg
import pytest
import redis

from config.embedded import Servers, directories, servers, servers_started
from config.embedded.binaries import postgres_binary, valkey_binary
from config.embedded.directories import CHECKOUT, clear_leftovers, server_directory
from config.embedded.errors import BinaryMissingError, InUseError
from config.embedded.processes import process_key, read_key

OWNER = """
import sys, signal
from config.embedded import servers_started
with servers_started(sys.argv[1], environment={}) as servers:
    # Held back until it is waited for: a signal just before pause() would be slept through.
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    print(servers.directory, flush=True)
    signal.sigwait({signal.SIGINT})
    raise KeyboardInterrupt
"""


@pytest.fixture
def name() -> Iterator[str]:
    own = f"x{uuid4().hex[:8]}"
    yield own
    directories.remove_directory(server_directory(own))


@pytest.fixture
def foreign_owner(name: str) -> Iterator["subprocess.Popen[str]"]:
    """Another process that runs servers under `name`, ready."""
    owner = subprocess.Popen(
        [sys.executable, "-c", OWNER, name], cwd=CHECKOUT, stdout=subprocess.PIPE, text=True
    )
    assert owner.stdout
    assert owner.stdout.readline().strip() == str(server_directory(name))
    yield owner
    owner.kill()
    owner.wait()
    owner.stdout.close()


def test_both_servers_answer_and_nothing_is_left(name: str) -> None:
    with servers_started(name, environment={}) as run:
        with psycopg.connect(run.database_url) as database:
            assert database.execute("SELECT 40 + 2").fetchone() == (42,)
        with redis.Redis.from_url(run.redis_url) as broker:
            assert broker.ping()
        keys = [read_key(server_directory(name) / f"{s}.key") for s in ("postgres", "valkey")]
        assert all(keys)

    assert not server_directory(name).exists()
    assert [process_key(key.pid) == key for key in keys if key] == [False, False]


def _once(run: Servers, statement: str) -> "psycopg.Cursor[tuple[object, ...]]":
    with psycopg.connect(run.database_url) as database:
        return database.execute(statement)


def test_kept_data_is_there_next_time(name: str) -> None:
    with servers_started(name, environment={}, keep=True) as run:
        _once(run, "CREATE TABLE kept AS SELECT 7 AS number")
    with servers_started(name, environment={}, keep=True) as run:
        assert _once(run, "SELECT number FROM kept").fetchone() == (7,)


def test_a_killed_run_is_cleared_at_the_next_start(
    name: str, foreign_owner: "subprocess.Popen[str]"
) -> None:
    left = [read_key(server_directory(name) / f"{s}.key") for s in ("postgres", "valkey")]
    foreign_owner.kill()
    foreign_owner.wait()

    assert clear_leftovers(f"{name}*") == [server_directory(name)]

    assert all(left)
    assert not server_directory(name).exists()
    assert [process_key(key.pid) == key for key in left if key] == [False, False]


def test_a_living_run_is_not_disturbed(name: str, foreign_owner: "subprocess.Popen[str]") -> None:
    assert clear_leftovers(f"{name}*") == []
    with (
        pytest.raises(InUseError, match=str(foreign_owner.pid)),
        servers_started(name, environment={}),
    ):
        pass


def test_given_servers_are_used_as_they_are(name: str) -> None:
    given = {"DATABASE_URL": "postgresql://a@b/c", "REDIS_URL": "redis://d:1/0"}

    with servers_started(name, environment=given) as run:
        assert run.environment() == given

    assert not server_directory(name).exists()


def test_one_given_server_leaves_the_other_to_us(name: str) -> None:
    with servers_started(name, environment={"DATABASE_URL": "postgresql://a@b/c"}) as run:
        assert run.database_url == "postgresql://a@b/c"
        assert not (server_directory(name) / "postgres").exists()
        with redis.Redis.from_url(run.redis_url) as broker:
            assert broker.ping()


def test_a_command_runs_beside_the_servers_and_hands_on_its_status(name: str) -> None:
    told = "import os, sys; print(os.environ['DATABASE_URL']); sys.exit(7)"
    kept = {key: value for key, value in os.environ.items() if not key.endswith("_URL")}
    ran = subprocess.run(
        [sys.executable, "-m", "config.embedded", name, "--", sys.executable, "-c", told],
        cwd=CHECKOUT,
        env=kept,
        capture_output=True,
        text=True,
        check=False,
    )

    assert ran.returncode == 7, ran.stderr
    assert str(server_directory(name)) in ran.stdout


def test_termination_ends_the_servers_too(
    name: str, foreign_owner: "subprocess.Popen[str]"
) -> None:
    directory = server_directory(name)
    foreign_owner.send_signal(signal.SIGINT)
    foreign_owner.wait(timeout=120)

    assert not directory.exists()


def test_a_long_checkout_falls_back_to_a_short_directory(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(directories, "CHECKOUT", Path("/" + "deep/" * 30))

    short = server_directory("t1234567890")

    assert len(os.fsencode(short / ".s.PGSQL.5432.lock")) <= 107
    assert short == server_directory("t1234567890")


def test_a_missing_program_names_the_way_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda _: None)
    monkeypatch.setattr("config.embedded.binaries.DEBIAN_POSTGRES", Path("/nowhere"))
    monkeypatch.setenv("PATH", "/nowhere")

    with pytest.raises(BinaryMissingError, match="DATABASE_URL"):
        postgres_binary("postgres")
    with pytest.raises(BinaryMissingError, match="REDIS_URL"):
        valkey_binary()


def test_a_server_that_ends_at_once_is_reported_with_its_log(name: str) -> None:
    directory = server_directory(name)
    directory.mkdir(parents=True)

    with pytest.raises(servers.StartFailedError, match="no room"):
        servers._started(
            ["sh", "-c", "echo no room >&2; exit 3"],
            directory=directory,
            name="postgres",
            answers=lambda: False,
        )
