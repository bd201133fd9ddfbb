"""Where the servers keep their files: short paths, one owner each, leftovers cleared."""

import hashlib
import os
import shutil
import signal
import tempfile
from pathlib import Path

from config.embedded.errors import InUseError
from config.embedded.processes import end_process, process_key, read_key

CHECKOUT = Path(__file__).resolve().parents[2]

# A unix socket's path ends at 107 bytes (sun_path); PostgreSQL's own socket name takes 15.
LONGEST_DIRECTORY_BYTES = 107 - len("/.s.PGSQL.5432.lock")

OWNER_FILE = "owner"

SERVERS_LAST = {"valkey": 1, "postgres": 2}


def run_directory() -> Path:
    """`.run` of the checkout, or a short stand-in under the temporary directory.

    The stand-in's name holds the checkout's path and the user, so that it is found again and
    never shared.
    """
    own = CHECKOUT / ".run"
    if len(os.fsencode(own)) + 24 <= LONGEST_DIRECTORY_BYTES:
        return own
    mark = hashlib.sha256(f"{CHECKOUT}:{os.getuid()}".encode()).hexdigest()[:10]
    parent = Path(tempfile.gettempdir())
    if len(os.fsencode(parent)) > 40:
        parent = Path("/tmp")  # TMPDIR is too long for a socket
    return parent / f"tierwright-{mark}"


def server_directory(name: str) -> Path:
    """The directory of the servers called `name`; nothing is made or touched."""
    return run_directory() / name


def claim_directory(directory: Path) -> None:
    """Make `directory` ours: end what a killed run left in it, refuse a living owner's.

    Raises `InUseError` when another living process owns it. Data that is already there is kept.
    """
    directory.mkdir(parents=True, exist_ok=True, mode=0o700)
    owner = read_key(directory / OWNER_FILE)
    if owner and owner.pid != os.getpid():
        raise InUseError(directory, owner.pid)
    end_servers(directory)
    (directory / OWNER_FILE).write_text(f"{process_key(os.getpid())}\n")


def end_servers(directory: Path) -> None:
    """End the processes whose keys stand in `directory`, those that use the servers first."""
    for path in sorted(directory.glob("*.key"), key=lambda path: SERVERS_LAST.get(path.stem, 0)):
        key = read_key(path)
        if key:
            end_process(key, signal.SIGINT if path.stem == "postgres" else signal.SIGTERM)
        path.unlink(missing_ok=True)


def remove_directory(directory: Path) -> None:
    """End what runs in `directory` and remove it."""
    end_servers(directory)
    shutil.rmtree(directory, ignore_errors=True)


def clear_leftovers(pattern: str) -> list[Path]:
    """Remove the directories whose names match `pattern` and whose owner no longer lives."""
    cleared = []
    for directory in sorted(run_directory().glob(pattern)):
        if directory.is_dir() and read_key(directory / OWNER_FILE) is None:
            remove_directory(directory)
            cleared.append(directory)
    return cleared
