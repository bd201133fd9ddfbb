"""Processes told apart by id and start time, because ids are used again."""

import contextlib
import os
import signal
import subprocess
import time
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class ProcessKey:
    """A process for good: its id and when it began, in the kernel's own reckoning."""

    pid: int
    began: str

    def __str__(self) -> str:
        return f"{self.pid} {self.began}"


def process_key(pid: int) -> ProcessKey | None:
    """The key of a living process, or None. A zombie does not live."""
    stat = Path(f"/proc/{pid}/stat")
    if stat.parent.parent.joinpath("self").exists():
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            return None
        # Fields 3 (state) and 22 (start time) of proc(5), counted behind the name.
        return None if fields[0] in "ZX" else ProcessKey(pid, fields[19])
    told = subprocess.run(
        ["ps", "-o", "lstart=", "-p", str(pid)], capture_output=True, text=True, check=False
    ).stdout.strip()
    return ProcessKey(pid, told.replace(" ", "-")) if told else None


def read_key(path: Path) -> ProcessKey | None:
    """The key stored at `path` if that very process still lives."""
    try:
        pid, _, began = path.read_text().strip().partition(" ")
        alive = process_key(int(pid))
    except (OSError, ValueError):
        return None
    return alive if alive and alive.began == began else None


def end_process(key: ProcessKey, how: signal.Signals, *, patience_s: float = 10) -> None:
    """Ask the process to end and wait for it; when patience is out, kill it."""
    for sign, wait_s in ((how, patience_s), (signal.SIGKILL, 5.0)):
        if process_key(key.pid) == key:
            with contextlib.suppress(ProcessLookupError):
                os.kill(key.pid, sign)
        until = time.monotonic() + wait_s
        while process_key(key.pid) == key and time.monotonic() < until:
            time.sleep(0.02)
    # If it was our child it is a zombie now.
    with contextlib.suppress(ChildProcessError):
        os.waitpid(key.pid, os.WNOHANG)
